"""Where a season ends, told from its days alone."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.cutoff import CutoffRule
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.season_end import SeasonEnd, days_of, end_of, forget_ends

PLANTED_ON = date(2027, 3, 15)
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=PLANTED_ON, area_m2=100, season_days=120)
SHARE, MONTH = CutoffRule.SHARE_OF_SEASON, CutoffRule.ONE_MONTH


def end(facts: SeasonFacts) -> SeasonEnd:
    return end_of(facts, days_of(facts))


def harvest(days: int) -> SeasonFacts:
    return replace(MAIZE, first_harvest_on=add_days(PLANTED_ON, days))


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        pytest.param(MAIZE, SeasonEnd(120, 80, SHARE), id="two thirds of 120 days"),
        pytest.param(harvest(100), SeasonEnd(100, 70, MONTH), id="a month before day 100"),
        pytest.param(harvest(110), SeasonEnd(110, 80, SHARE), id="both on one day"),
        pytest.param(harvest(150), SeasonEnd(120, 80, SHARE), id="never after the season"),
    ],
)
def test_a_season_ends_by_two_thirds_or_a_month_before_harvest(
    facts: SeasonFacts, expected: SeasonEnd
) -> None:
    assert end(facts) == expected


def test_without_days_of_its_own_a_season_lasts_as_long_as_the_crops() -> None:
    usual = replace(MAIZE, season_days=None)

    assert end(usual).first_harvest_days == crop("maize-grain").season_days


def test_an_end_is_where_the_plan_has_it() -> None:
    for facts in (MAIZE, harvest(100), replace(MAIZE, crop=crop("amaranth"), season_days=None)):
        plan, found = plan_season(facts), end(facts)

        assert add_days(PLANTED_ON, found.cutoff_days) == plan.cutoff_on
        assert add_days(PLANTED_ON, found.first_harvest_days) == plan.first_harvest_on
        assert found.cutoff_rule is plan.cutoff_rule


def test_an_end_is_found_once_until_it_is_forgotten() -> None:
    found = end(MAIZE)
    assert end(MAIZE) is found

    forget_ends()

    assert end(MAIZE) is not found
    assert end(MAIZE) == found
