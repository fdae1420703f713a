"""A season's plan where the ground, the days and the water stand at an edge."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dose_days import DropReason
from service.agronomy.dosing import Season
from service.agronomy.season import Hold, SeasonFacts, plan_season, water_on
from service.agronomy.watering import SeasonSpan

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def test_a_plot_at_risk_gets_no_dose_until_a_person_has_looked() -> None:
    plan = plan_season(replace(MAIZE, site_open=False))

    assert plan.doses == ()
    assert [(dose.number, dose.reason) for dose in plan.dropped] == [
        (number, DropReason.SITE) for number in range(1, 8)
    ]


def test_a_dose_given_on_a_plot_at_risk_stays_a_fact() -> None:
    plan = plan_season(replace(MAIZE, site_open=False, given={1: date(2027, 3, 15)}))

    assert [dose.number for dose in plan.doses] == [1]


def test_a_dose_that_closed_on_a_late_day_keeps_the_next_one_five_days_off() -> None:
    """The pattern has dose 4 on 11 April; the five days are a project choice."""
    facts = replace(MAIZE, emerged_on=date(2027, 3, 21), missed={3: date(2027, 4, 8)})

    assert [dose.due_on for dose in plan_season(facts).doses[2:4]] == [
        date(2027, 4, 8),
        date(2027, 4, 13),
    ]


DRY_APRIL = SeasonSpan(season=Season.DRY, first_on=date(2027, 4, 1), last_on=date(2027, 4, 30))


@pytest.mark.parametrize(
    ("day", "ratio"),
    [
        pytest.param(date(2027, 3, 31), 1, id="the day before"),
        pytest.param(date(2027, 4, 1), 2, id="the first day"),
        pytest.param(date(2027, 4, 30), 2, id="the last day"),
        pytest.param(date(2027, 5, 1), 1, id="the day after"),
    ],
)
def test_a_dry_month_raises_the_water_on_its_own_days_alone(day: date, ratio: float) -> None:
    """Two parts in the dry season: common practice, no source."""
    facts = replace(MAIZE, water_ratio=1, water_chosen=1, spans=(DRY_APRIL,))

    assert water_on(facts, day) == ratio


def test_no_water_is_added_unless_somebody_asks_for_it() -> None:
    assert {dose.water_litres for dose in plan_season(MAIZE).doses} == {0}


@pytest.mark.parametrize(
    ("held_until", "kept"),
    [
        pytest.param(date(2027, 12, 5), [date(2027, 12, 6)], id="to the year's last day"),
        pytest.param(date(2027, 12, 6), [], id="beyond it"),
    ],
)
def test_a_hold_moves_no_dose_of_a_perennial_past_its_year(
    held_until: date, kept: list[date]
) -> None:
    """Coffee counted from 10 January 2027 has a year of 330 days, up to 6 December."""
    short_rains = SeasonSpan(
        season=Season.RAINS, first_on=date(2027, 11, 15), last_on=date(2027, 12, 20)
    )
    coffee = SeasonFacts(
        crop=crop("coffee"),
        planted_on=date(2027, 1, 10),
        area_m2=100,
        spans=(short_rains,),
        holds=(Hold(first_on=date(2027, 11, 28), last_on=held_until),),
    )

    assert [dose.due_on for dose in plan_season(coffee).doses] == kept
