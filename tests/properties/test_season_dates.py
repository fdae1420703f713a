"""Laws of the days: over made-up seasons, with the hard ones pinned."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import crop
from service.agronomy.cutoff import CutoffRule, cutoff
from service.agronomy.season import Hold, SeasonFacts, plan_season
from tests.properties.season_facts import PLANTED_ON, lived_facts

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=PLANTED_ON, area_m2=100)
SWAPPED = replace(
    MAIZE,
    given={4: date(2027, 4, 10)},
    holds=(Hold(first_on=date(2027, 4, 4), last_on=date(2027, 4, 12)),),
)


@pytest.mark.parametrize(
    ("share", "binds_under", "tied_from"),
    [
        pytest.param(Fraction(2, 3), 90, 88, id="two thirds"),
        pytest.param(Fraction(3, 4), 120, 117, id="three quarters"),
    ],
)
@given(season_days=st.integers(1, 400))
@example(season_days=87)
@example(season_days=88)
@example(season_days=90)
@example(season_days=91)
@example(season_days=117)
@example(season_days=120)
def test_the_month_before_harvest_rules_short_seasons(
    share: Fraction, binds_under: int, tied_from: int, season_days: int
) -> None:
    """Algebra apart from this code: T - 30 < fT where T < 90 for f = 2/3, T < 120 for f = 3/4.

    Whole days tie a little below that, since the share is rounded down; a tie names the share.
    """
    by_month = add_days(PLANTED_ON, season_days - 30)

    end = cutoff(
        PLANTED_ON,
        season_days=season_days,
        first_harvest_on=add_days(PLANTED_ON, season_days),
        share=share,
    )

    assert (end.on == by_month) == (season_days <= binds_under)
    assert (end.rule is CutoffRule.ONE_MONTH) == (season_days < tied_from)


@given(facts=lived_facts())
@example(facts=SWAPPED)
def test_no_dose_is_planned_after_the_cutoff(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    facts_too = {*facts.given, *facts.missed}

    planned = [dose for dose in plan.doses if dose.number not in facts_too]

    assert all(dose.due_on <= plan.cutoff_on for dose in planned)
    assert all(dose.closes_on <= plan.cutoff_on for dose in planned)


@given(facts=lived_facts())
def test_a_month_lies_between_the_last_planned_dose_and_the_first_harvest(
    facts: SeasonFacts,
) -> None:
    plan = plan_season(facts)
    facts_too = {*facts.given, *facts.missed}

    gaps = [
        days_between(dose.closes_on, plan.first_harvest_on)
        for dose in plan.doses
        if dose.number not in facts_too
    ]

    assert all(gap >= 30 for gap in gaps)


@given(facts=lived_facts())
@example(facts=SWAPPED)
def test_five_days_lie_between_a_planned_dose_and_those_before_it(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    counting = [dose for dose in plan.doses if dose.number not in facts.missed]
    planned = [dose for dose in counting if dose.number not in facts.given]

    gaps = [
        days_between(before.due_on, dose.due_on)
        for dose in planned
        for before in counting
        if before is not dose and before.due_on <= dose.due_on
    ]

    assert all(gap >= 5 for gap in gaps)


@given(facts=lived_facts())
@example(facts=SWAPPED)
def test_no_dose_is_planned_into_a_hold(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    facts_too = {*facts.given, *facts.missed}

    inside = [
        dose.number
        for dose in plan.doses
        for hold in facts.holds
        if dose.number not in facts_too and hold.first_on <= dose.due_on <= hold.last_on
    ]

    assert inside == []


@given(facts=lived_facts())
def test_every_dose_of_the_pattern_is_planned_or_dropped_once(facts: SeasonFacts) -> None:
    plan = plan_season(facts)

    numbers = [*(dose.number for dose in plan.doses), *(dose.number for dose in plan.dropped)]

    assert sorted(numbers) == [1, 2, 3, 4, 5, 6, 7]


@given(facts=lived_facts())
def test_doses_given_stay_on_their_day(facts: SeasonFacts) -> None:
    plan = plan_season(facts)

    kept = {dose.number: dose.due_on for dose in plan.doses if dose.given_on is not None}

    assert kept == dict(facts.given)
