"""A perennial is planned by its rains: the same plan, another pattern."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.watering import SeasonSpan
from service.errors import RefusedError

LONG_RAINS = SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 5, 31))
DRY = SeasonSpan(season=Season.DRY, first_on=date(2027, 6, 1), last_on=date(2027, 10, 31))
COFFEE = SeasonFacts(
    crop=crop("coffee"), planted_on=date(2027, 1, 10), area_m2=100, spans=(LONG_RAINS, DRY)
)


def days(facts: SeasonFacts) -> list[date]:
    return [dose.due_on for dose in plan_season(facts).doses]


def test_doses_come_a_fortnight_into_the_rains_and_every_thirty_days_after() -> None:
    """Project choice, no source: 14, 44 and 74 days after the rains begin on 1 March."""
    assert days(COFFEE) == [date(2027, 3, 15), date(2027, 4, 14), date(2027, 5, 14)]


def test_no_dose_falls_in_the_month_before_picking_but_one_may_follow_it() -> None:
    """One month, taken as 30 days (WHO 2006, vol. 4)."""
    picked = replace(COFFEE, first_harvest_on=date(2027, 4, 20))

    assert days(picked) == [date(2027, 3, 15), date(2027, 5, 14)]


def test_a_dose_of_a_perennial_holds_no_more_than_the_cap_of_a_season() -> None:
    """Cap: 2 / 7 of 150 L are 42.86 L; three doses cannot hold the year."""
    plan = plan_season(COFFEE)

    assert [round(dose.litres, 2) for dose in plan.doses] == [42.86] * 3
    assert round(plan.shortfall_litres, 2) == 21.43


def test_rains_before_planting_and_after_the_year_count_for_nothing() -> None:
    planted_late = replace(COFFEE, planted_on=date(2027, 4, 1))

    assert days(planted_late) == [date(2027, 4, 14), date(2027, 5, 14)]


def test_a_perennial_whose_rains_nobody_has_told_is_refused() -> None:
    with pytest.raises(RefusedError) as refused:
        plan_season(replace(COFFEE, spans=(DRY,)))

    assert refused.value.code == "perennial"


def test_a_legume_is_refused_in_the_rains_as_ever() -> None:
    with pytest.raises(RefusedError) as refused:
        plan_season(replace(COFFEE, crop=crop("cowpea")))

    assert refused.value.code == "legume"


def test_nothing_of_the_urine_is_watered_in_the_rains() -> None:
    assert [dose.water_litres for dose in plan_season(replace(COFFEE, water_ratio=2)).doses] == [
        0
    ] * 3
