"""What the service refuses to plan, and the sentence that says what to do instead.

Each check raises `RefusedError` with its code. A number that is none (NaN) is refused too.
"""

from datetime import date

from service.agronomy.crops import Crop
from service.agronomy.dosing import Season, is_over
from service.agronomy.regimes import Regime, StoreReason, store_reason
from service.agronomy.rules import rules
from service.errors import RefusedError

FIRST_YEAR, LAST_YEAR = 2000, 2099


def check_crop(crop: Crop) -> None:
    """Refuse a crop that takes no urine, or none by this calendar (`legume`, `perennial`)."""
    if crop.legume:
        raise RefusedError(
            "legume",
            f"The crop {crop.id} binds its own nitrogen and needs none;"
            " keep the urine for another crop.",
        )
    if crop.perennial:
        raise RefusedError(
            "perennial",
            f"The crop {crop.id} bears for years and is planned by the rains of its area, which are"
            " not known here; follow local extension advice.",
        )


def check_drained(crop: Crop, *, drained: bool) -> None:
    """Refuse a paddy crop on ground that nobody confirmed as drained (`waterlogged`)."""
    if crop.needs_drained and not drained:
        raise RefusedError(
            "waterlogged",
            f"The crop {crop.id} may stand in water, where urine is lost; plan it only on drained"
            " or upland ground, and say so.",
        )


def check_dates(
    *,
    planted_on: date,
    emerged_on: date | None,
    first_harvest_on: date | None,
    season_ends_on: date,
) -> None:
    """Refuse dates that contradict each other (`dates`)."""
    if emerged_on is not None and emerged_on < planted_on:
        raise _dates(f"The plants cannot be up on {emerged_on}, before planting on {planted_on}")
    if first_harvest_on is not None and first_harvest_on <= planted_on:
        raise _dates(f"A harvest on {first_harvest_on} must come after planting on {planted_on}")
    if first_harvest_on is not None and first_harvest_on > season_ends_on:
        raise _dates(
            f"A first harvest on {first_harvest_on} cannot come after the season's end on"
            f" {season_ends_on}; give the season's days too"
        )
    harvest_on = first_harvest_on or season_ends_on
    if emerged_on is not None and emerged_on > harvest_on:
        raise _dates(f"The plants cannot come up on {emerged_on}, after harvest on {harvest_on}")


def check_sealed(sealed_on: date, *, first_harvest_on: date) -> None:
    """Refuse a container that is sealed too late for the planting (`dates`)."""
    if sealed_on > first_harvest_on:
        raise _dates(f"A can sealed on {sealed_on} is too late for a harvest on {first_harvest_on}")


def check_year(day: date) -> None:
    """Refuse a date that is surely mistyped (`dates`)."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise _dates(f"The date {day} must lie in the years {FIRST_YEAR} to {LAST_YEAR}")


def check_area(area_m2: float) -> None:
    """Refuse a plot too small or too large (`area`)."""
    least, most = rules().least_area_m2, rules().most_area_m2
    if not least <= area_m2 <= most:
        raise RefusedError("area", f"Give an area from {least:,.0f} to {most:,.0f} square metres.")


def check_nitrogen(*, n_kg_per_ha: float | None, n_g_per_litre: float) -> None:
    """Refuse a nitrogen target or content that cannot be meant (`nitrogen`)."""
    if n_kg_per_ha is not None and not 0 < n_kg_per_ha < float("inf"):
        raise RefusedError("nitrogen", "Give a nitrogen target above 0 kg a hectare.")
    least, most = rules().least_measured_g_per_litre, rules().most_measured_g_per_litre
    if not least <= n_g_per_litre <= most:
        raise RefusedError(
            "nitrogen", f"Give a nitrogen content from {least:g} to {most:g} g a litre of urine."
        )


def check_water_ratio(ratio: float) -> None:
    """Refuse a ratio of water to urine outside what is used (`water`)."""
    most = rules().most_water_ratio
    if not 0 <= ratio <= most:
        raise RefusedError("water", f"Give from 0 to {most:g} parts of water to one of urine.")


def check_season_water(ratio: float, season: Season) -> None:
    """Refuse too little water in the dry season (`water`; common practice, no source)."""
    check_water_ratio(ratio)
    least = rules().dry_least_water_ratio
    if season is Season.DRY and ratio < least:
        raise RefusedError(
            "water",
            f"In the dry season give at least {least:g} parts of water to one of urine,"
            " or the plants may burn.",
        )


def check_amount(litres_per_m2: float, *, share: float) -> None:
    """Refuse a season's target above the ceiling (`over-ceiling`).

    Args:
        litres_per_m2: the target, after the soil's share.
        share: the part of the usual ceiling that the soil bears.
    """
    limit = rules().refuse_litres_per_m2 * share
    if not litres_per_m2 >= 0 or is_over(litres_per_m2, limit):
        raise RefusedError(
            "over-ceiling",
            f"A target of {litres_per_m2:.2f} litres a square metre is more than the"
            f" {limit:g} that this soil and crop bear; lower the target.",
        )


def check_store(regime: Regime, *, store_c: float | None) -> None:
    """Refuse a store too cold for a crop that others eat (`cold-store`)."""
    if store_reason(regime, store_c=store_c) is StoreReason.COLD_STORE:
        least = rules().least_store_celsius
        raise RefusedError(
            "cold-store",
            f"Six months make urine safe for any crop only at {least:g} degrees and above;"
            " use a warmer store, or use it for a crop of your own.",
        )


def _dates(sentence: str) -> RefusedError:
    return RefusedError("dates", f"{sentence}; check the dates.")
