"""From a planting's rows to the facts that the season's plan is computed from."""

from dataclasses import dataclass
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.local import LocalFigures, local_figures
from service.agronomy.season import Hold, Measure, SeasonFacts
from service.agronomy.watering import water_ratio
from service.records.fields import DoseState, FactKind, PlantingFactRow, PlotRow
from service.records.plantings import PlantingBundle

_CLOSED = (DoseState.NOT_DONE, DoseState.NOT_KNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class GoOn:
    """A person has looked at the plants, and doses may go on from a day."""

    on: date
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Reports:
    """What the facts say by now; the latest of a kind stands, the first report of a dose stands.

    `elsewhere` holds the litres of doses that were given before the plan knew of them.
    """

    planted_on: date
    sown_told: bool
    resown_on: date | None
    emerged_on: date | None
    given: dict[int, date]
    elsewhere: dict[int, float]
    not_done: frozenset[int]
    not_ready: frozenset[int]
    harvested_on: date | None
    failed_on: date | None
    go_on: tuple[GoOn, ...]


def read_facts(bundle: PlantingBundle) -> Reports:  # noqa: C901, PLR0912 -- one line a kind
    """Return what a planting's facts say."""
    planted_on, sown_told, resown_on = bundle.planting.planted_on, False, None
    emerged_on, harvested_on, failed_on = None, None, None
    given: dict[int, date] = {}
    elsewhere: dict[int, float] = {}
    not_done: set[int] = set()
    not_ready: set[int] = set()
    go_on: list[GoOn] = []
    for fact in bundle.facts:
        number = fact.dose_number or 0
        match fact.kind:
            case FactKind.SOWN:
                planted_on, sown_told = fact.on, True
            case FactKind.PUT_OFF:
                planted_on, sown_told = fact.on, False
            case FactKind.RESOWN:
                planted_on, sown_told, resown_on = fact.on, True, fact.on
            case FactKind.EMERGED:
                emerged_on = fact.on
            case FactKind.APPLIED:
                given.setdefault(number, fact.on)
                not_done.discard(number)
            case FactKind.ELSEWHERE:
                given.setdefault(number, fact.on)
                elsewhere.setdefault(number, fact.litres or 0.0)
            case FactKind.NOT_APPLIED:
                if number not in given:
                    not_done.add(number)
            case FactKind.NOT_READY:
                not_ready.add(number)
            case FactKind.HARVESTED:
                harvested_on = fact.on
            case FactKind.FAILED:
                failed_on = fact.on
            case FactKind.GO_ON:
                go_on.append(GoOn(on=fact.on, at=fact.recorded_at))
            case FactKind.SECOND_REPORT | FactKind.BURNT:
                pass
    return Reports(
        planted_on=planted_on,
        sown_told=sown_told,
        resown_on=resown_on,
        emerged_on=emerged_on if emerged_on is None or emerged_on >= planted_on else None,
        given=given,
        elsewhere=elsewhere,
        not_done=frozenset(_still_not_done(bundle, not_done, resown_on)),
        not_ready=frozenset(not_ready - given.keys()),
        harvested_on=harvested_on,
        failed_on=failed_on,
        go_on=tuple(go_on),
    )


def figures_of(bundle: PlantingBundle) -> LocalFigures:
    """Return the figures that a planting is planned with, local ones among them."""
    return local_figures(
        crop(bundle.planting.crop),
        area_id=bundle.household.area_id,
        soil=bundle.plot.soil,
        values=bundle.book.values,
    )


def site_is_open(plot: PlotRow) -> bool:
    """Say whether a plot may be used: it has no risk, or a person has decided."""
    return not plot.hazards or plot.site_ok_at is not None


def season_facts(bundle: PlantingBundle) -> SeasonFacts:
    """Return what the pure planner needs to know about a planting."""
    planting, reports, figures = bundle.planting, read_facts(bundle), figures_of(bundle)
    closed = _still_closed(
        {
            dose.number: dose.due_on
            for dose in bundle.doses
            if dose.state in _CLOSED and dose.number not in reports.given
        },
        reports,
    )
    told = {
        dose.number: dose.urine_l
        for dose in bundle.doses
        # a dose that was dropped from the first and given all the same takes a usual share
        if dose.urine_l > 0 and (dose.told or dose.number in reports.given or dose.number in closed)
    }
    avoided = bundle.household.avoid_weekday
    litres = planting.litres_per_m2
    return SeasonFacts(
        crop=figures.crop,
        planted_on=reports.planted_on,
        area_m2=bundle.plot.area_m2,
        litres_per_m2=figures.litres_per_m2 if litres is None else litres,
        after_emergence_days=figures.after_emergence_days,
        soil=bundle.plot.soil,
        emerged_on=reports.emerged_on,
        first_harvest_on=planting.first_harvest_on,
        season_days=planting.season_days,
        transplanted=planting.transplanted,
        water_ratio=water_ratio(planting.season, planting.water_ratio),
        water_chosen=planting.water_ratio,
        spans=bundle.book.spans_in(bundle.household.area_id),
        given=reports.given,
        missed=closed,
        told_litres={**told, **reports.elsewhere},
        holds=_holds(bundle, reports),
        not_ready=reports.not_ready,
        avoided=frozenset() if avoided is None else frozenset((avoided,)),
        site_open=site_is_open(bundle.plot),
        measure=Measure.GROWER,
    )


def _holds(bundle: PlantingBundle, reports: Reports) -> tuple[Hold, ...]:
    found = []
    burns = {fact.recorded_at for fact in bundle.facts if fact.kind is FactKind.BURNT}
    for hold in bundle.holds:
        # a person who has looked at burnt leaves lifts the hold for them, not one for rain
        looked = [
            go_on.on
            for go_on in reports.go_on
            if hold.recorded_at in burns and go_on.at >= hold.recorded_at
        ]
        last_on = min([hold.last_on, *(add_days(on, -1) for on in looked)])
        if hold.first_on <= last_on:
            found.append(Hold(first_on=hold.first_on, last_on=last_on))
    found += [
        Hold(first_on=hold.first_on, last_on=hold.last_on)
        for hold in bundle.book.holds_in(bundle.household.area_id)
    ]
    return tuple(found)


def _still_not_done(bundle: PlantingBundle, not_done: set[int], resown_on: date | None) -> set[int]:
    # what was left out for seed that never came up is open again for the seed after it
    if resown_on is None:
        return not_done
    kept: dict[int, PlantingFactRow] = {
        fact.dose_number or 0: fact
        for fact in bundle.facts
        if fact.kind is FactKind.NOT_APPLIED and fact.on >= resown_on
    }
    return not_done & kept.keys()


def _still_closed(closed: dict[int, date], reports: Reports) -> dict[int, date]:
    # a dose told for a day before the plants were up, or for seed that never came up, was not due
    # at all; the one at planting may have been given all the same
    emerged, resown = reports.emerged_on, reports.resown_on
    return {
        number: due_on
        for number, due_on in closed.items()
        if number in reports.not_done
        or number == 1
        or ((emerged is None or due_on > emerged) and (resown is None or due_on >= resown))
    }
