"""A plan made from its shape, where days, amounts and bounds stand at an edge."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.season import Hold, Measure, SeasonFacts, Soil, plan_season
from service.agronomy.season_end import days_of
from service.agronomy.season_plan import SeasonWarning
from service.agronomy.shape import season_shape
from service.agronomy.shape_plan import check_bounds, plan_by_shape, plan_until
from service.agronomy.watering import SeasonSpan
from service.errors import RefusedError

MONDAY = date(2027, 3, 15)
FRIDAY = date(2027, 3, 19)
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=MONDAY, area_m2=100)
MONDAYS, THURSDAYS, FRIDAY_AND_SUNDAY = frozenset({0}), frozenset({3}), frozenset({4, 6})
HELD = Hold(first_on=date(2027, 3, 30), last_on=date(2027, 4, 5))
DRY_APRIL = SeasonSpan(season=Season.DRY, first_on=date(2027, 4, 1), last_on=date(2027, 4, 30))


@pytest.mark.parametrize(
    "facts",
    [
        pytest.param(MAIZE, id="as usual"),
        pytest.param(replace(MAIZE, emerged_on=add_days(MONDAY, 20)), id="up late"),
        pytest.param(replace(MAIZE, emerged_on=MONDAY), id="up at once"),
        pytest.param(
            replace(MAIZE, emerged_on=add_days(MONDAY, -1), avoided=MONDAYS), id="up before"
        ),
        pytest.param(replace(MAIZE, avoided=MONDAYS), id="a day to avoid"),
        pytest.param(
            replace(MAIZE, planted_on=FRIDAY, avoided=FRIDAY_AND_SUNDAY), id="two days to avoid"
        ),
        pytest.param(
            replace(MAIZE, planted_on=FRIDAY, avoided=THURSDAYS), id="a day before planting's"
        ),
        pytest.param(replace(MAIZE, after_emergence_days=(3, 6, 9, 12)), id="near doses"),
        pytest.param(replace(MAIZE, after_emergence_days=()), id="one dose"),
        pytest.param(replace(MAIZE, season_days=60), id="a short season"),
        pytest.param(replace(MAIZE, season_days=1), id="no dose fits"),
        pytest.param(replace(MAIZE, first_harvest_on=date(2027, 5, 20)), id="a harvest told"),
        pytest.param(replace(MAIZE, crop=crop("amaranth")), id="a crop picked again and again"),
        pytest.param(replace(MAIZE, holds=(HELD,)), id="a hold"),
        pytest.param(replace(MAIZE, spans=(DRY_APRIL,), water_ratio=1), id="a dry month"),
        pytest.param(replace(MAIZE, litres_per_m2=4), id="much"),
        pytest.param(replace(MAIZE, soil=Soil.DRY, litres_per_m2=4), id="much on dry soil"),
        pytest.param(replace(MAIZE, measure=Measure.GROWER, area_m2=7.3), id="in measures"),
        pytest.param(replace(MAIZE, site_open=False), id="a plot at risk"),
        pytest.param(replace(MAIZE, transplanted=True), id="planted out"),
        pytest.param(replace(MAIZE, given={1: date(2027, 3, 17)}), id="given late"),
        pytest.param(replace(MAIZE, told_litres={2: 12.5}), id="told"),
    ],
)
def test_a_plan_from_its_shape_is_the_plan(facts: SeasonFacts) -> None:
    assert plan_by_shape(facts) == plan_season(facts)


def test_a_crop_that_bears_for_years_is_planned_by_its_rains() -> None:
    long_rains = SeasonSpan(
        season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 5, 31)
    )
    banana = replace(MAIZE, crop=crop("banana"), spans=(long_rains,))

    assert len(plan_by_shape(banana).doses) > 2
    assert plan_by_shape(banana) == plan_season(banana)


def test_a_plan_up_to_a_day_holds_the_dose_of_that_day_and_none_after_it() -> None:
    shape = season_shape(MAIZE, days_of(MAIZE))
    third_on = plan_season(MAIZE).doses[2].due_on

    assert [dose.number for dose in plan_until(shape, MAIZE, last_on=third_on).doses] == [1, 2, 3]
    day_before = add_days(third_on, -1)
    assert [dose.number for dose in plan_until(shape, MAIZE, last_on=day_before).doses] == [1, 2]


def test_an_amount_above_twice_the_usual_is_warned_of_alone() -> None:
    assert plan_by_shape(replace(MAIZE, litres_per_m2=3.1)).warnings == (
        SeasonWarning.OVER_3_L_PER_M2,
    )
    assert plan_by_shape(replace(MAIZE, litres_per_m2=3)).warnings == ()


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        pytest.param(replace(MAIZE, area_m2=0.5), "area", id="too small"),
        pytest.param(replace(MAIZE, water_ratio=10.5), "water", id="too much water"),
        pytest.param(replace(MAIZE, litres_per_m2=6.1), "over-ceiling", id="too much urine"),
    ],
)
def test_what_a_shape_does_not_hold_is_refused_before_it_is_asked_for(
    facts: SeasonFacts, code: str
) -> None:
    for refuse in (check_bounds, plan_by_shape):
        with pytest.raises(RefusedError) as refused:
            refuse(facts)
        assert refused.value.code == code
