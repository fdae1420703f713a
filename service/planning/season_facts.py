"""From a planting's rows to the facts that the season's plan is computed from."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.crops import crop
from service.agronomy.season import Hold, Measure, SeasonFacts
from service.records.fields import DoseState, FactKind
from service.records.plantings import PlantingBundle

_CLOSED = (DoseState.NOT_DONE, DoseState.NOT_KNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reports:
    """What the facts say by now; the latest of a kind stands, the first report of a dose stands."""

    planted_on: date
    sown_told: bool
    emerged_on: date | None
    given: dict[int, date]
    not_done: frozenset[int]
    not_ready: frozenset[int]
    harvested_on: date | None


def read_facts(bundle: PlantingBundle) -> Reports:
    """Return what a planting's facts say."""
    planted_on, emerged_on, harvested_on = bundle.planting.planted_on, None, None
    sown_told = False
    given: dict[int, date] = {}
    not_done: set[int] = set()
    not_ready: set[int] = set()
    for fact in bundle.facts:
        number = fact.dose_number or 0
        match fact.kind:
            case FactKind.SOWN:
                planted_on, sown_told = fact.on, True
            case FactKind.EMERGED:
                emerged_on = fact.on
            case FactKind.APPLIED:
                given.setdefault(number, fact.on)
                not_done.discard(number)
            case FactKind.NOT_APPLIED:
                if number not in given:
                    not_done.add(number)
            case FactKind.NOT_READY:
                not_ready.add(number)
            case FactKind.HARVESTED:
                harvested_on = fact.on
            case FactKind.SECOND_REPORT | FactKind.BURNT:
                pass
    return Reports(
        planted_on=planted_on,
        sown_told=sown_told,
        emerged_on=emerged_on if emerged_on is None or emerged_on >= planted_on else None,
        given=given,
        not_done=frozenset(not_done),
        not_ready=frozenset(not_ready - given.keys()),
        harvested_on=harvested_on,
    )


def season_facts(bundle: PlantingBundle) -> SeasonFacts:
    """Return what the pure planner needs to know about a planting."""
    planting, reports = bundle.planting, read_facts(bundle)
    closed = _still_closed(
        {
            dose.number: dose.due_on
            for dose in bundle.doses
            if dose.state in _CLOSED and dose.number not in reports.given
        },
        reports,
    )
    return SeasonFacts(
        crop=crop(planting.crop),
        planted_on=reports.planted_on,
        area_m2=bundle.plot.area_m2,
        litres_per_m2=planting.litres_per_m2,
        soil=bundle.plot.soil,
        emerged_on=reports.emerged_on,
        first_harvest_on=planting.first_harvest_on,
        season_days=planting.season_days,
        transplanted=planting.transplanted,
        water_ratio=planting.water_ratio,
        given=reports.given,
        missed=closed,
        told_litres={
            dose.number: dose.urine_l
            for dose in bundle.doses
            # a dose that was dropped from the first and given all the same takes a usual share
            if dose.urine_l > 0
            and (dose.told or dose.number in reports.given or dose.number in closed)
        },
        holds=tuple(Hold(first_on=hold.first_on, last_on=hold.last_on) for hold in bundle.holds),
        not_ready=reports.not_ready,
        measure=Measure.GROWER,
    )


def _still_closed(closed: dict[int, date], reports: Reports) -> dict[int, date]:
    # a dose told on an assumed emergence, for a day before the plants were up, was not due at all
    emerged = reports.emerged_on
    return {
        number: due_on
        for number, due_on in closed.items()
        if number == 1 or emerged is None or due_on > emerged or number in reports.not_done
    }
