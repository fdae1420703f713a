"""Dose days and cut-offs against a table worked out apart from this code.

Season lengths: FAO-56, Table 11, and EcoCrop; emergence: AquaCrop and from memory. The pattern of
doses is common practice, no source. The cut-off joins Joensson et al. 2004 (2/3 of the season)
and WHO 2006, vol. 4 (one month before harvest, from memory).
"""

from datetime import date

import pytest

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import crop, crops
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.season_plan import SeasonPlan

PLANTED_ON = date(2027, 3, 15)
SHARE, MONTH = "share-of-season", "one-month"

SINGLE_HARVEST = {
    "maize-grain": (125, 6, 83, [0, 13, 20, 27, 34, 48, 62], SHARE),
    "maize-green": (80, 6, 50, [0, 13, 20, 27, 34, 48], MONTH),
    "sorghum": (130, 13, 86, [0, 20, 27, 34, 41, 55, 69], SHARE),
    "pearl-millet": (105, 5, 70, [0, 12, 19, 26, 33, 47, 61], SHARE),
    "rice-transplanted": (150, 3, 100, [0, 10, 17, 24, 31, 45, 59], SHARE),
    "tomato": (135, 4, 90, [0, 11, 18, 25, 32, 46, 60], SHARE),
    "cabbage": (90, 5, 60, [0, 12, 19, 26, 33, 47], SHARE),
    "kale": (75, 5, 45, [0, 12, 19, 26, 33], MONTH),
    "onion": (150, 5, 100, [0, 12, 19, 26, 33, 47, 61], SHARE),
    "amaranth": (45, 5, 15, [0, 12], MONTH),
    "spinach": (65, 8, 35, [0, 15, 22, 29], MONTH),
    "pepper": (125, 5, 83, [0, 12, 19, 26, 33, 47, 61], SHARE),
    "eggplant": (130, 5, 86, [0, 12, 19, 26, 33, 47, 61], SHARE),
    "okra": (55, 7, 25, [0, 14, 21], MONTH),
    "pumpkin": (100, 7, 66, [0, 14, 21, 28, 35, 49, 63], SHARE),
    "zucchini": (90, 7, 60, [0, 14, 21, 28, 35, 49], SHARE),
    "cassava": (210, 10, 140, [0, 17, 24, 31, 38, 52, 66], SHARE),
    "potato": (125, 16, 83, [0, 23, 30, 37, 44, 58, 72], SHARE),
    "sweet-potato": (125, 7, 83, [0, 14, 21, 28, 35, 49, 63], SHARE),
    "sunflower": (130, 18, 86, [0, 25, 32, 39, 46, 60, 74], SHARE),
}
FIRST_PICK = {
    "tomato": (70, 40, [0, 11, 18, 25, 32]),
    "pepper": (75, 45, [0, 12, 19, 26, 33]),
    "eggplant": (75, 45, [0, 12, 19, 26, 33]),
    "zucchini": (45, 15, [0, 14]),
    "okra": (55, 25, [0, 14, 21]),
    "kale": (50, 20, [0, 12, 19]),
    "spinach": (40, 10, [0]),
    "amaranth": (30, 0, []),
}


def offsets(plan: SeasonPlan) -> list[int]:
    return [days_between(PLANTED_ON, dose.due_on) for dose in plan.doses]


@pytest.mark.parametrize("crop_id", SINGLE_HARVEST)
def test_a_crop_harvested_once_keeps_the_doses_of_the_table(crop_id: str) -> None:
    """The table with the whole season until one harvest, and a dose at planting for each."""
    season_days, emergence_days, cutoff_days, dose_days, rule = SINGLE_HARVEST[crop_id]

    plan = plan_season(
        SeasonFacts(
            crop=crop(crop_id),
            planted_on=PLANTED_ON,
            area_m2=100,
            season_days=season_days,
            first_harvest_on=add_days(PLANTED_ON, season_days),
            transplanted=True,
        )
    )

    assert days_between(PLANTED_ON, plan.emergence_on) == emergence_days
    assert days_between(PLANTED_ON, plan.cutoff_on) == cutoff_days
    assert (offsets(plan), plan.cutoff_rule) == (dose_days, rule)


def test_the_table_has_every_crop_that_can_be_planned() -> None:
    planned = {crop_id for crop_id, row in crops().items() if not row.legume | row.perennial}

    assert set(SINGLE_HARVEST) == planned


@pytest.mark.parametrize("crop_id", SINGLE_HARVEST)
def test_a_crop_left_to_its_defaults_is_counted_from_its_first_pick(crop_id: str) -> None:
    """First picks from memory; every other crop is harvested at the season's end."""
    season_days, _, cutoff_days, dose_days, _ = SINGLE_HARVEST[crop_id]
    expected = FIRST_PICK.get(crop_id, (season_days, cutoff_days, dose_days))

    plan = plan_season(SeasonFacts(crop=crop(crop_id), planted_on=PLANTED_ON, area_m2=100))

    assert expected == (
        days_between(PLANTED_ON, plan.first_harvest_on),
        days_between(PLANTED_ON, plan.cutoff_on),
        offsets(plan),
    )
