"""Amounts: from nitrogen to litres, from litres to what a grower can measure.

Urine and water are always separate numbers; dilution never changes the nitrogen. What is
rounded is rounded down.
"""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor

from service.agronomy.crops import Crop
from service.agronomy.rules import rules

_M2_PER_HECTARE = 10_000
_GRAMS_PER_KG = 1_000
_CM2_PER_M2 = 10_000
_NOISE = 1e-9  # sums of binary fractions may fall this little short of a whole step
_STEPS = ((2.0, 0.5), (0.5, 0.25), (0.0, 0.1))
_MOST_CUPS = 4
_PLANTS = (1, 2, 3, 4, 5, 10)


class Season(StrEnum):
    """Whether water is added by rule."""

    RAINS = "rains"
    DRY = "dry"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """So many cups of the mix for so many plants."""

    cups: int
    plants: int


def litres_per_m2(*, n_kg_per_ha: float, n_g_per_litre: float) -> float:
    """Return the season's litres a square metre that carry a nitrogen target."""
    return n_kg_per_ha / (n_g_per_litre * _M2_PER_HECTARE / _GRAMS_PER_KG)


def n_kg_per_ha(*, litres_per_m2: float, n_g_per_litre: float) -> float:
    """Return the nitrogen, in kg a hectare, of so many litres a square metre."""
    return litres_per_m2 * n_g_per_litre * _M2_PER_HECTARE / _GRAMS_PER_KG


def is_over(litres_per_m2: float, limit: float) -> bool:
    """Say whether an amount lies above a limit by more than the noise of its arithmetic."""
    return litres_per_m2 > limit * (1 + _NOISE)


def dose_cap(season_litres: float, *, doses: int | None = None) -> float:
    """Return the most that one dose may hold, however few doses are left (project choice).

    `doses` are those of the full pattern, None for the usual one.
    """
    return rules().cap_times_equal_share * season_litres / (doses or rules().doses_in_pattern)


def usual_water_ratio(season: Season) -> float:
    """Return the parts of water to one of urine, where none were chosen."""
    return rules().dry_least_water_ratio if season is Season.DRY else 0.0


def floor_to_step(litres: float) -> float:
    """Return the amount rounded down to what a grower can measure.

    Steps of 0.5 L from 2 L up, 0.25 L from 0.5 L up, 0.1 L below (common practice, no source).
    """
    step = next(step for least, step in _STEPS if litres + _NOISE >= least)
    return round(floor(litres / step + _NOISE) * step, 2)


def plants_on(
    crop: Crop, area_m2: float, *, row_cm: float | None = None, plant_cm: float | None = None
) -> float:
    """Return the plants on a plot, not rounded.

    `row_cm` between rows and `plant_cm` in the row are a planting's own; None is the crop's usual.
    """
    ground_cm2 = (row_cm or crop.row_cm) * (plant_cm or crop.plant_cm)
    return area_m2 * _CM2_PER_M2 / ground_cm2


def ml_per_plant(crop: Crop, *, litres: float, area_m2: float) -> float:
    """Return one plant's share of a dose, in millilitres."""
    return litres * 1_000 / plants_on(crop, area_m2)


def pace(*, mix_ml: float, plants: float, cup_ml: float) -> Pace | None:
    """Return the largest pace that is not above a plant's true share of the mix.

    None where one cup would serve more than ten plants: then cups are counted along the row.

    Raises:
        ValueError: there is no plant or no cup to measure with.
    """
    if not (plants > 0 and cup_ml > 0):
        raise ValueError("a pace needs plants and a cup")
    most = mix_ml / plants / cup_ml * (1 + _NOISE)
    fitting = [
        (Fraction(cups, count), -count, cups)
        for count in _PLANTS
        for cups in range(1, _MOST_CUPS + 1)
        if Fraction(cups, count) <= most
    ]
    if not fitting:
        return None
    _, minus_plants, cups = max(fitting)  # of equal paces the one with the fewest plants
    return Pace(cups=cups, plants=-minus_plants)
