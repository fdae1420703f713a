"""A dose in the grower's own measures: cans, bottles and cups, by plant and by row. Pure.

What is told is rounded down. Urine and water are two numbers. Litres always stand; fills stand
beside them only where they hold just as much, or where a household has one measure alone.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cache
from math import ceil, floor
from types import MappingProxyType

from service.agronomy.dosing import Pace, floor_to_step, pace
from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_KEYS: Mapping[str, frozenset[str]] = {
    "sole": frozenset({"can_parts", "bottle_parts", "cup_parts"}),
    "count": frozenset({"most"}),
    "stretch": frozenset({"metres"}),
}
_ML_PER_LITRE = 1_000
_CM_PER_M = 100
_NOISE = 1e-9


class MeasureKind(StrEnum):
    """What a grower measures with."""

    CAN = "can"
    BOTTLE = "bottle"
    CUP = "cup"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnMeasures:
    """What a household measures with; None for what it lacks."""

    can_litres: float | None = None
    bottle_ml: float | None = None
    cup_ml: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """So many fills of a measure; parts of a fill only of a household's sole measure."""

    kind: MeasureKind
    times: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """An amount as it is told: litres, and the fills that hold just so much, if any."""

    litres: float
    fills: tuple[Fill, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldDose:
    """A dose as it is told."""

    urine: Told
    water: Told


@dataclass(frozen=True, slots=True, kw_only=True)
class PerPlant:
    """A plant's share in whole millilitres, and cups of the mix for plants, if a cup fits."""

    urine_ml: int
    water_ml: int
    pace: Pace | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """The rows of a plot: how many and how long, None where not known, and all put together."""

    count: int | None
    length_m: float | None
    all_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PerRow:
    """Litres for one row, None where rows were not counted, and for each stretch of row."""

    urine_litres: float | None
    water_litres: float | None
    stretch_m: int
    stretch_urine_litres: float
    stretch_water_litres: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureRules:
    """Parts of a fill that can be judged, the most fills, and the metres of a stretch."""

    parts: Mapping[MeasureKind, int] = field(hash=False)
    most_fills: int
    stretch_m: int
    origins: Mapping[str, Origin] = field(hash=False)


def told(litres: float, own: OwnMeasures) -> Told:
    """Return an amount, rounded down to what can be measured out.

    A household with one measure alone is told what that holds, in parts of a fill, and so many
    litres. One with several is told litres in steps; fills of the largest with the smaller ones
    after it, or of the smaller ones alone, stand beside them where they hold exactly that.
    """
    sizes = _sizes(own)
    if len(sizes) == 1:
        ((kind, size),) = sizes
        parts = measure_rules().parts[kind]
        times = Fraction(floor(litres * parts / size + _NOISE), parts)
        if 0 < times <= measure_rules().most_fills:
            return Told(litres=float(times) * size, fills=(Fill(kind=kind, times=times),))
    stepped = floor_to_step(litres)
    fitting = (_exact_fills(stepped, sizes[first:]) for first in range(len(sizes)))
    return Told(litres=stepped, fills=next((fills for fills in fitting if fills), ()))


def told_dose(urine_litres: float, *, water_ratio: float, own: OwnMeasures) -> ToldDose:
    """Return a dose with its water, which follows from the urine as it is told.

    Water is rounded down too, but never below the whole parts of the ratio: those are measured
    with what measured the urine, and too little water in the dry season burns.
    """
    urine = told(urine_litres, own)
    water = told(urine.litres * water_ratio, own)
    least = urine.litres * floor(water_ratio)
    if water.litres < least - _NOISE:
        times = floor(water_ratio)
        again = tuple(Fill(kind=fill.kind, times=fill.times * times) for fill in urine.fills)
        water = Told(litres=least, fills=again)
    return ToldDose(urine=urine, water=water)


def per_plant(dose: ToldDose, *, plants: float, cup_ml: float | None) -> PerPlant:
    """Return a plant's share of a dose as told; less ground than a plant's bears one plant.

    Raises:
        ValueError: there is no plant.
    """
    if not plants > 0:
        raise ValueError("a share needs plants")
    count = max(1.0, plants)
    mix_ml = (dose.urine.litres + dose.water.litres) * _ML_PER_LITRE
    return PerPlant(
        urine_ml=floor(dose.urine.litres * _ML_PER_LITRE / count + _NOISE),
        water_ml=floor(dose.water.litres * _ML_PER_LITRE / count + _NOISE),
        pace=None if cup_ml is None else pace(mix_ml=mix_ml, plants=count, cup_ml=cup_ml),
    )


def rows_on(area_m2: float, *, row_cm: float, row_length_m: float | None) -> Rows:
    """Return the rows of a plot; a part of a row counts as one, so that none goes without.

    Raises:
        ValueError: the rows have no distance or no length.
    """
    if not row_cm > 0 or not (row_length_m is None or row_length_m > 0):
        raise ValueError("rows need a distance and a length")
    all_m = area_m2 / (row_cm / _CM_PER_M)
    count = None if row_length_m is None else ceil(all_m / row_length_m - _NOISE)
    return Rows(count=count, length_m=row_length_m, all_m=all_m)


def per_row(dose: ToldDose, rows: Rows) -> PerRow:
    """Return what of a dose as told goes to a row, and to each stretch of row."""
    stretch_m = measure_rules().stretch_m
    stretches = max(1.0, rows.all_m / stretch_m)
    each = rows.count or None
    return PerRow(
        urine_litres=each and floor_to_step(dose.urine.litres / each),
        water_litres=each and floor_to_step(dose.water.litres / each),
        stretch_m=stretch_m,
        stretch_urine_litres=floor_to_step(dose.urine.litres / stretches),
        stretch_water_litres=floor_to_step(dose.water.litres / stretches),
    )


@cache
def measure_rules() -> MeasureRules:
    """Return the figures of measuring out."""
    return load_measure_rules(table_text("measures.toml"))


def load_measure_rules(text: str) -> MeasureRules:
    """Return the figures of a table's text.

    Raises:
        TableError: a table or key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("measures.toml", text)
    if raw.keys() != _KEYS.keys():
        odd = ", ".join(sorted(raw.keys() ^ _KEYS.keys()))
        raise TableError(f"measures.toml: these tables are missing or not known: {odd}.")
    groups = {name: Group(f"measures.toml, {name}", raw[name], _KEYS[name]) for name in _KEYS}
    parts = {kind: groups["sole"].whole(f"{kind}_parts") for kind in MeasureKind}
    stretch_m = groups["stretch"].whole("metres")
    if not (stretch_m and all(parts.values())):
        raise TableError("measures.toml: parts and metres must be more than 0.")
    return MeasureRules(
        parts=MappingProxyType(parts),
        most_fills=groups["count"].whole("most"),
        stretch_m=stretch_m,
        origins=MappingProxyType({name: group.origin for name, group in groups.items()}),
    )


def _sizes(own: OwnMeasures) -> Sequence[tuple[MeasureKind, float]]:
    litres = {
        MeasureKind.CAN: own.can_litres or 0.0,
        MeasureKind.BOTTLE: (own.bottle_ml or 0.0) / _ML_PER_LITRE,
        MeasureKind.CUP: (own.cup_ml or 0.0) / _ML_PER_LITRE,
    }
    found = [(kind, size) for kind, size in litres.items() if size > 0]
    return sorted(found, key=lambda each: -each[1])


def _exact_fills(litres: float, sizes: Sequence[tuple[MeasureKind, float]]) -> tuple[Fill, ...]:
    fills: list[Fill] = []
    left = litres
    for kind, size in sizes:
        times = floor(left / size + _NOISE)
        if times:
            fills.append(Fill(kind=kind, times=Fraction(times)))
            left -= times * size
    only_cans = all(fill.kind is MeasureKind.CAN for fill in fills)
    counted = sum(fill.times for fill in fills)
    fits = left <= _NOISE and counted <= measure_rules().most_fills and not only_cans
    return tuple(fills) if fits else ()
