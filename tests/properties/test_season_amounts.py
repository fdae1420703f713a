"""Laws of the amounts: over made-up seasons, with the hard ones pinned."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.dosing import dose_cap, floor_to_step
from service.agronomy.season import Hold, Measure, SeasonFacts, Soil, plan_season
from tests.properties.season_facts import PLAIN_FACTS, PLANTED_ON, days, holds, lived_facts, told_of

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=PLANTED_ON, area_m2=100)
CEILING_L_PER_M2 = 6


@given(facts=PLAIN_FACTS)
@example(facts=replace(MAIZE, area_m2=1, litres_per_m2=0.1, measure=Measure.GROWER))
@example(facts=replace(MAIZE, litres_per_m2=6, soil=Soil.SALTY, measure=Measure.GROWER))
def test_doses_never_exceed_the_target_nor_the_ceiling(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    bears = CEILING_L_PER_M2 if facts.soil is Soil.NORMAL else CEILING_L_PER_M2 / 2

    total = sum(dose.litres for dose in plan.doses)

    assert total <= plan.target_litres * (1 + 1e-9)
    assert plan.target_litres <= bears * facts.area_m2 * (1 + 1e-9)


@given(facts=PLAIN_FACTS)
def test_rounded_doses_hold_no_more_than_exact_ones(facts: SeasonFacts) -> None:
    exact = plan_season(replace(facts, measure=Measure.EXACT))
    rounded = plan_season(replace(facts, measure=Measure.GROWER))

    assert sum(told_of(rounded).values()) <= sum(told_of(exact).values()) * (1 + 1e-9)


@given(facts=PLAIN_FACTS)
def test_no_dose_exceeds_its_cap_and_the_rest_is_told(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    cap = dose_cap(plan.target_litres) * (1 + 1e-9)

    assert all(dose.litres <= cap for dose in plan.doses)
    assert sum(told_of(plan).values()) + plan.shortfall_litres == pytest.approx(plan.target_litres)


@given(litres=st.floats(0, 10_000))
@example(litres=0.3)
@example(litres=1.9999999999)
def test_rounding_goes_down_by_less_than_a_step(litres: float) -> None:
    rounded = floor_to_step(litres)

    assert rounded <= litres + 1e-9
    assert litres - rounded < (0.5 if litres >= 2 else 0.25 if litres >= 0.5 else 0.1) + 1e-9


@given(facts=PLAIN_FACTS, ratio=st.floats(0, 10))
def test_nitrogen_does_not_depend_on_the_water(facts: SeasonFacts, ratio: float) -> None:
    plan = plan_season(facts)
    diluted = plan_season(replace(facts, water_ratio=ratio))

    assert told_of(diluted) == told_of(plan)
    assert [dose.water_litres for dose in diluted.doses] == [
        dose.litres * ratio for dose in diluted.doses
    ]


@given(facts=lived_facts())
def test_planning_again_changes_nothing(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    again = plan_season(replace(facts, told_litres={**facts.told_litres, **told_of(plan)}))

    assert [(dose.number, dose.due_on, dose.litres) for dose in again.doses] == [
        (dose.number, dose.due_on, dose.litres) for dose in plan.doses
    ]
    assert again.dropped == plan.dropped


@given(facts=PLAIN_FACTS)
def test_doing_all_as_planned_changes_nothing(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    done = replace(
        facts,
        given={dose.number: dose.due_on for dose in plan.doses},
        told_litres=told_of(plan),
    )

    followed = plan_season(done)

    assert [(dose.number, dose.due_on, dose.litres) for dose in followed.doses] == [
        (dose.number, dose.due_on, dose.litres) for dose in plan.doses
    ]
    assert [dose.number for dose in followed.dropped] == [dose.number for dose in plan.dropped]


@given(
    facts=lived_facts(),
    emerged_on=days(60),
    more=st.lists(holds(), max_size=2),
    harvest_on=days(250),
)
@example(
    facts=replace(MAIZE, told_litres={1: 21.0, 2: 21.5}, measure=Measure.GROWER),
    emerged_on=date(2027, 4, 14),
    more=[],
    harvest_on=date(2027, 7, 18),
)
def test_told_amounts_never_change(
    facts: SeasonFacts, emerged_on: date, more: list[Hold], harvest_on: date
) -> None:
    changed = replace(
        facts,
        emerged_on=emerged_on,
        holds=(*facts.holds, *more),
        first_harvest_on=harvest_on,
    )

    litres = told_of(plan_season(changed))

    assert {n: litres[n] for n in facts.told_litres if n in litres} == {
        n: told for n, told in facts.told_litres.items() if n in litres
    }


@given(facts=PLAIN_FACTS, place=st.integers(0, 6))
def test_a_missed_dose_is_not_made_up(facts: SeasonFacts, place: int) -> None:
    plan = plan_season(facts)
    assume(place < len(plan.doses))
    dose = plan.doses[place]
    told = {told.number: told.litres for told in plan.doses[: place + 1]}

    missed = plan_season(replace(facts, missed={dose.number: dose.due_on}, told_litres=told))

    assert [(other.number, other.due_on) for other in missed.doses] == [
        (other.number, other.due_on) for other in plan.doses
    ]
    assert list(told_of(missed).values()) == pytest.approx(list(told_of(plan).values()))


@given(facts=PLAIN_FACTS, late_days=st.integers(0, 40))
def test_a_late_report_never_moves_a_later_dose_forward(facts: SeasonFacts, late_days: int) -> None:
    plan = plan_season(facts)
    assume(plan.doses)
    first = plan.doses[0]

    late = plan_season(replace(facts, given={first.number: add_days(first.due_on, late_days)}))

    before = {dose.number: dose.due_on for dose in plan.doses}
    after = {dose.number: dose.due_on for dose in late.doses}
    assert all(on >= before[number] for number, on in after.items() if number in before)
