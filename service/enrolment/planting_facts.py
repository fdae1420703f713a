"""Whether a planting can be planned, and from which facts. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import Crop, crop, crops
from service.agronomy.dosing import Season, usual_water_ratio
from service.agronomy.refusals import check_crop, check_drained, check_season_water
from service.agronomy.rules import rules
from service.agronomy.season import SeasonFacts, Soil, plan_season
from service.agronomy.watering import SeasonSpan, rains_known
from service.enrolment.entries import PlantingEntry
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.ranges import range_fault
from service.errors import RefusedError
from service.records.limits import LIMITS

FIELD_OF_REFUSAL: Mapping[FaultCode, str] = {
    FaultCode.UNKNOWN_CROP: "crop",
    FaultCode.LEGUME: "crop",
    FaultCode.PERENNIAL: "crop",
    FaultCode.WATERLOGGED: "drained",
    FaultCode.WATER: "water_ratio",
    FaultCode.OVER_CEILING: "litres_per_m2",
    FaultCode.AREA: "area_m2",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where something is to grow: its area, soil, and the seasons of its part of the ward."""

    area_m2: float
    soil: Soil
    spans: tuple[SeasonSpan, ...] = ()


def check_planting(entry: PlantingEntry, *, ground: Ground, today: date) -> tuple[Fault, ...]:
    """Return everything that is wrong with a planting on such ground, or nothing."""
    row = crops().get(entry.crop)
    if row is None:
        return (Fault(field="crop", code=FaultCode.UNKNOWN_CROP),)
    faults = [*_ranges(entry), *_both(entry), *_years(entry, today)]
    if faults:
        return tuple(faults)
    faults += [*_crop(entry, row, ground), *_days(entry, row, today)]
    return tuple(faults) or _plan(entry, ground)


def facts_of(entry: PlantingEntry, *, ground: Ground) -> SeasonFacts:
    """Return what the plan of a checked planting follows from, blanks filled in."""
    return SeasonFacts(
        crop=crop(entry.crop),
        planted_on=entry.planted_on,
        area_m2=ground.area_m2,
        litres_per_m2=rules().litres_per_m2 if entry.litres_per_m2 is None else entry.litres_per_m2,
        soil=ground.soil,
        spans=ground.spans,
        emerged_on=entry.emerged_on,
        first_harvest_on=_first_harvest_on(entry),
        season_days=entry.season_days,
        transplanted=entry.transplanted,
        water_ratio=_water_ratio(entry),
    )


def _ranges(entry: PlantingEntry) -> list[Fault]:
    told = {
        "litres_per_m2": entry.litres_per_m2,
        "season_days": entry.season_days,
        "first_harvest_days": entry.first_harvest_days,
        "row_cm": entry.row_cm,
        "plant_cm": entry.plant_cm,
    }
    faults = (range_fault(name, value) for name, value in told.items())
    return [fault for fault in faults if fault is not None]


def _both(entry: PlantingEntry) -> list[Fault]:
    if entry.first_harvest_on is None or entry.first_harvest_days is None:
        return []
    if days_between(entry.planted_on, entry.first_harvest_on) == entry.first_harvest_days:
        return []
    values = {"other": "first_harvest_on"}
    return [Fault(field="first_harvest_days", code=FaultCode.BOTH_GIVEN, values=values)]


def _years(entry: PlantingEntry, today: date) -> list[Fault]:
    most = LIMITS.planted_days
    if abs(days_between(entry.planted_on, today)) <= most:
        return []
    return [Fault(field="planted_on", code=FaultCode.YEARS_AWAY, values={"most_days": most})]


def _crop(entry: PlantingEntry, row: Crop, ground: Ground) -> list[Fault]:
    try:
        if not (row.perennial and rains_known(ground.spans)):
            check_crop(row)
        check_drained(row, drained=entry.drained)
    except RefusedError as error:
        return [_refused(error, {})]
    try:
        check_season_water(_water_ratio(entry), entry.season)
    except RefusedError as error:
        least = rules().dry_least_water_ratio if entry.season is Season.DRY else 0.0
        return [_refused(error, {"least": least, "most": rules().most_water_ratio})]
    return []


def _days(entry: PlantingEntry, row: Crop, today: date) -> list[Fault]:
    faults = []
    ends_on = add_days(entry.planted_on, entry.season_days or row.season_days)
    picked_on = _first_harvest_on(entry)
    picked = "first_harvest_on" if entry.first_harvest_days is None else "first_harvest_days"
    if picked_on is not None and picked_on <= entry.planted_on:
        values = {"planted_on": entry.planted_on}
        faults.append(Fault(field=picked, code=FaultCode.PICKED_BEFORE_PLANTED, values=values))
    elif picked_on is not None and picked_on > ends_on:
        values = {"season_ends_on": ends_on}
        faults.append(Fault(field=picked, code=FaultCode.PICKED_AFTER_SEASON, values=values))
    up_on = entry.emerged_on
    if up_on is None:
        return faults
    if up_on < entry.planted_on:
        values = {"planted_on": entry.planted_on}
        faults.append(Fault(field="emerged_on", code=FaultCode.UP_BEFORE_PLANTED, values=values))
    elif up_on > today:
        values = {"latest": today}
        faults.append(Fault(field="emerged_on", code=FaultCode.NOT_YET, values=values))
    elif up_on > (picked_on or ends_on):
        values = {"first_harvest_on": picked_on or ends_on}
        faults.append(Fault(field="emerged_on", code=FaultCode.UP_AFTER_PICKED, values=values))
    return faults


def _plan(entry: PlantingEntry, ground: Ground) -> tuple[Fault, ...]:
    try:
        plan_season(facts_of(entry, ground=ground))
    except RefusedError as error:
        # poor soil halves the target and its limit alike, so what is typed has one limit
        return (_refused(error, {"most": rules().refuse_litres_per_m2}),)
    return ()


def _refused(error: RefusedError, values: Mapping[str, object]) -> Fault:
    code = FaultCode(error.code)
    return Fault(field=FIELD_OF_REFUSAL[code], code=code, values=values)


def _first_harvest_on(entry: PlantingEntry) -> date | None:
    if entry.first_harvest_days is None:
        return entry.first_harvest_on
    return add_days(entry.planted_on, entry.first_harvest_days)


def _water_ratio(entry: PlantingEntry) -> float:
    return usual_water_ratio(entry.season) if entry.water_ratio is None else entry.water_ratio
