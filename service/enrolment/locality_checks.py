"""Whether a hold, a season or a figure may stand for an area. Pure."""

import re
from collections.abc import Collection, Sequence
from datetime import date
from itertools import pairwise

from service.agronomy.calendar import days_between
from service.agronomy.crops import Crop, crops
from service.agronomy.dosing import is_over
from service.agronomy.local import LocalFigures, LocalKey, LocalValue, local_figures
from service.agronomy.refusals import check_crop
from service.agronomy.rules import rules
from service.agronomy.season import Soil
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.locality_entries import FigureEntry, HoldEntry, SpanEntry
from service.enrolment.ranges import line_fault, range_fault
from service.errors import RefusedError
from service.records.limits import LIMITS

OF_A_CROP = frozenset(
    {
        LocalKey.SEASON_DAYS,
        LocalKey.EMERGENCE_DAYS,
        LocalKey.FIRST_HARVEST_DAYS,
        LocalKey.ROW_CM,
        LocalKey.PLANT_CM,
    }
)
_LIMIT = {  # the row of the limits for a figure that is one number
    LocalKey.SEASON_DAYS: "season_days",
    LocalKey.EMERGENCE_DAYS: "emergence_days",
    LocalKey.FIRST_HARVEST_DAYS: "first_harvest_days",
    LocalKey.ROW_CM: "local_cm",
    LocalKey.PLANT_CM: "local_cm",
    LocalKey.N_KG_PER_HA: "n_kg_per_ha",
    LocalKey.N_G_PER_LITRE: "n_g_per_litre",
}
_NUMBER = re.compile(r"[0-9]{1,6}([.,][0-9]{1,6})?")
_DAYS = re.compile(r"[0-9]{1,3}( *[,; ] *[0-9]{1,3})*")


def hold_faults(entry: HoldEntry, *, today: date) -> tuple[Fault, ...]:
    """Return everything that is wrong with the days of a hold, or nothing."""
    faults = _days_faults(entry, today)
    most = LIMITS.area_hold_days
    if not faults and days_between(entry.first_on, entry.last_on) >= most:
        values = {"most_days": most}
        return (Fault(field="last_on", code=FaultCode.HOLD_TOO_LONG, values=values),)
    return faults


def span_faults(entry: SpanEntry, *, today: date) -> tuple[Fault, ...]:
    """Return everything that is wrong with the days of a season, or nothing."""
    return _days_faults(entry, today)


def figure_of(entry: FigureEntry, standing: Sequence[LocalValue]) -> LocalValue | tuple[Fault, ...]:
    """Return the figure that was typed, or all that is wrong with it.

    `standing` are the figures that hold already; together they may never pass the ceiling.
    """
    try:
        key = LocalKey(entry.key)
    except ValueError:
        return (Fault(field="key", code=FaultCode.NO_SUCH_KIND),)
    crop = None if entry.crop is None else crops().get(entry.crop)
    value, value_fault = _value(key, entry.value)
    faults = (_crop_fault(key, entry, crop), value_fault, _source_fault(entry.source))
    found = tuple(fault for fault in faults if fault is not None)
    if found:
        return found
    figure = LocalValue(
        key=key,
        value=value,
        source=entry.source.strip(),
        area_id=entry.area_id,
        crop=entry.crop,
        soil=entry.soil,
    )
    late = None if crop is None else _harvest_fault(figure, crop, standing)
    fault = late or ceiling_fault([*standing, figure])
    return figure if fault is None else (fault,)


def ceiling_fault(values: Collection[LocalValue]) -> Fault | None:
    """Return why these figures cannot stand together: somewhere they pass the ceiling.

    Poor soil halves the target and its limit alike, so normal soil decides for all.
    """
    most = rules().refuse_litres_per_m2
    worst = max((figures.litres_per_m2 for figures in _everywhere(values)), default=0.0)
    if not is_over(worst, most):
        return None
    return Fault(
        field="value", code=FaultCode.OVER_CEILING_HERE, values={"litres": worst, "most": most}
    )


def _days_faults(entry: HoldEntry | SpanEntry, today: date) -> tuple[Fault, ...]:
    most = LIMITS.planted_days
    days = {"first_on": entry.first_on, "last_on": entry.last_on}
    far = tuple(
        Fault(field=field, code=FaultCode.YEARS_AWAY, values={"most_days": most})
        for field, on in days.items()
        if abs(days_between(today, on)) > most
    )
    if not far and entry.last_on < entry.first_on:
        values = {"first_on": entry.first_on}
        return (Fault(field="last_on", code=FaultCode.LAST_BEFORE_FIRST, values=values),)
    return far


def _crop_fault(key: LocalKey, entry: FigureEntry, crop: Crop | None) -> Fault | None:
    if entry.crop is None:
        return Fault(field="crop", code=FaultCode.UNKNOWN_CROP) if key in OF_A_CROP else None
    if crop is None:
        return Fault(field="crop", code=FaultCode.UNKNOWN_CROP)
    try:
        check_crop(crop)
    except RefusedError as error:
        return Fault(field="crop", code=FaultCode(error.code))
    if key is LocalKey.FIRST_HARVEST_DAYS and not crop.picked_repeatedly:
        return Fault(field="key", code=FaultCode.HARVESTED_ONCE)
    return None


def _source_fault(source: str) -> Fault | None:
    least = LIMITS.characters["figure_source_least"]
    if len(source.strip()) < least:
        return Fault(field="source", code=FaultCode.NO_SOURCE, values={"least": least})
    return line_fault("source", source, limit="figure_source")


def _value(key: LocalKey, typed: str) -> tuple[str, Fault | None]:
    if key is LocalKey.PATTERN:
        days = [int(day) for day in re.findall("[0-9]+", typed)] if _is_list(typed) else []
        return ",".join(map(str, days)), _pattern_fault(days)
    limits = LIMITS.numbers[_LIMIT[key]]
    if not _NUMBER.fullmatch(typed.strip()):
        values = {"least": limits.at_least, "most": limits.at_most}
        return "", Fault(field="value", code=FaultCode.OUT_OF_RANGE, values=values)
    number = float(typed.strip().replace(",", "."))
    return f"{number:.12g}", range_fault("value", number, limit=_LIMIT[key])


def _is_list(typed: str) -> bool:
    return _DAYS.fullmatch(typed.strip()) is not None


def _pattern_fault(days: list[int]) -> Fault | None:
    doses, latest = LIMITS.numbers["pattern_doses"], LIMITS.numbers["pattern_days"].at_most
    gap = rules().min_gap_days
    near = any(later - earlier < gap for earlier, later in pairwise(days))
    if doses.at_least <= len(days) <= doses.at_most and not near and days[-1] <= latest:
        return None
    values = {"most": doses.at_most, "gap_days": gap, "most_day": latest}
    return Fault(field="value", code=FaultCode.PATTERN, values=values)


def _harvest_fault(figure: LocalValue, crop: Crop, standing: Sequence[LocalValue]) -> Fault | None:
    if figure.key is not LocalKey.FIRST_HARVEST_DAYS:
        return None
    season_days = _figures(crop, figure.area_id, figure.soil, standing).crop.season_days
    if float(figure.value) <= season_days:
        return None
    values = {"least": 1, "most": season_days}
    return Fault(field="value", code=FaultCode.OUT_OF_RANGE, values=values)


def _everywhere(values: Collection[LocalValue]) -> list[LocalFigures]:
    areas = {value.area_id for value in values} | {None}
    return [
        _figures(crop, area_id, soil, tuple(values))
        for crop in crops().values()
        for area_id in areas
        for soil in Soil
    ]


def _figures(
    crop: Crop, area_id: int | None, soil: Soil | None, values: Sequence[LocalValue]
) -> LocalFigures:
    return local_figures(crop, area_id=area_id, soil=soil or Soil.NORMAL, values=values)
