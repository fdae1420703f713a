"""Laws of the reasons: each chain ends in what the plan shows, and its values redo the sum."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import pairwise
from math import floor

import pytest
from hypothesis import example, given

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.dose_days import MoveReason
from service.agronomy.explain import explain
from service.agronomy.reasons import About, Chain, Reason, RuleId, Value
from service.agronomy.season import Hold, Measure, SeasonFacts, plan_season
from tests.properties.reason_facts import any_facts
from tests.properties.season_facts import PLANTED_ON

TOLD = {
    RuleId.PLANTED_TOLD,
    RuleId.PLANTED_ENTERED,
    RuleId.EMERGED_TOLD,
    RuleId.SEASON_ENTERED,
    RuleId.HARVEST_ENTERED,
    RuleId.GIVEN,
    RuleId.AREA_TOLD,
    RuleId.LITRES_ENTERED,
    RuleId.IN_SPAN,
    RuleId.WATER_CHOSEN,
}
MOVES = {
    RuleId.GAP: MoveReason.GAP,
    RuleId.HOLD: MoveReason.HOLD,
    RuleId.AVOIDED: MoveReason.AVOIDED,
}
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=PLANTED_ON, area_m2=100)


def last(chain: Chain, name: str) -> Value:
    return chain[-1].values[name]


def on(reason: Reason, name: str = "on") -> date:
    found = reason.values[name]
    assert isinstance(found, date)
    return found


def number(reason: Reason, name: str) -> float:
    found = reason.values[name]
    assert isinstance(found, int | float)
    return found


def days_of(reason: Reason) -> int:
    return int(number(reason, "days"))


@given(facts=any_facts())
@example(facts=replace(MAIZE, given={2: date(2027, 4, 2)}))
@example(facts=replace(MAIZE, avoided=frozenset({6})))
@example(
    facts=replace(
        MAIZE, holds=(Hold(first_on=date(2027, 3, 27), last_on=date(2027, 3, 30)),), missed={}
    )
)
@example(facts=replace(MAIZE, missed={9: date(2027, 5, 1)}, told_litres={9: 4.0}))
def test_each_chain_ends_in_what_the_plan_shows(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    why = explain(facts, plan)

    assert last(why.of(About.PLANTED), "on") == facts.planted_on
    assert last(why.of(About.EMERGENCE), "on") == plan.emergence_on
    assert last(why.of(About.SEASON), "days") == plan.season_days
    assert last(why.of(About.FIRST_HARVEST), "on") == plan.first_harvest_on
    assert last(why.of(About.CUTOFF), "on") == plan.cutoff_on
    assert last(why.of(About.TARGET), "litres") == plan.target_litres
    for dose in plan.doses:
        assert last(why.of(About.DOSE_DAY, dose.number), "on") == dose.due_on
        assert last(why.of(About.DOSE_AMOUNT, dose.number), "litres") == pytest.approx(dose.litres)
        assert last(why.of(About.DOSE_WATER, dose.number), "water_litres") == dose.water_litres
        if dose.given_on is None:
            assert last(why.of(About.DOSE_CLOSES, dose.number), "on") == dose.closes_on
    for dropped in plan.dropped:
        assert last(why.of(About.DOSE_DAY, dropped.number), "on") == dropped.due_on
        assert why.of(About.DOSE_DROP, dropped.number)
    if plan.shortfall_litres:
        assert last(why.of(About.SHORTFALL), "litres") == plan.shortfall_litres


@given(facts=any_facts())
@example(facts=replace(MAIZE, avoided=frozenset({6})))
def test_a_dose_is_moved_by_the_rules_that_its_chain_names(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    why = explain(facts, plan)

    for dose in plan.doses:
        named = {
            MOVES[step.rule] for step in why.of(About.DOSE_DAY, dose.number) if step.rule in MOVES
        }
        assert set(dose.moved) <= named
        assert bool(dose.moved) == bool(named)


@given(facts=any_facts())
def test_a_dose_keeps_its_distance_from_a_dose_that_there_is(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    there = {dose.due_on for dose in plan.doses} | set(facts.given.values())

    gaps = [step for _, step in explain(facts, plan).steps() if step.rule is RuleId.GAP]

    assert all(step.values["before_on"] in there for step in gaps)


@given(facts=any_facts())
def test_only_what_somebody_told_has_no_source(facts: SeasonFacts) -> None:
    steps = [step for _, step in explain(facts, plan_season(facts)).steps()]

    assert {step.rule for step in steps if step.origin is None} <= TOLD
    assert not {step.rule for step in steps if step.origin is not None} & TOLD


REDONE: dict[RuleId, Callable[[Reason], bool]] = {
    RuleId.EMERGENCE_ASSUMED: lambda step: (
        add_days(on(step, "planted_on"), days_of(step)) == on(step)
    ),
    RuleId.HARVEST_AT_END: lambda step: add_days(on(step, "planted_on"), days_of(step)) == on(step),
    RuleId.HARVEST_PICKED: lambda step: add_days(on(step, "planted_on"), days_of(step)) == on(step),
    RuleId.HARVEST_NOT_AFTER_END: lambda step: (
        add_days(on(step, "planted_on"), days_of(step)) == on(step)
    ),
    RuleId.CUTOFF_SHARE: lambda step: (
        add_days(on(step, "planted_on"), floor(Fraction(str(step.values["share"])) * days_of(step)))
        == on(step)
    ),
    RuleId.CUTOFF_MONTH: lambda step: add_days(on(step), 30) == on(step, "harvest_on"),
    RuleId.AFTER_EMERGENCE: lambda step: add_days(on(step, "up_on"), days_of(step)) == on(step),
    RuleId.AFTER_ASSUMED_EMERGENCE: lambda step: (
        add_days(on(step, "up_on"), days_of(step)) == on(step)
    ),
    RuleId.IN_RAINS: lambda step: add_days(on(step, "rain_on"), days_of(step)) == on(step),
    RuleId.CUTOFF_BEARS_ON: lambda step: (
        add_days(on(step, "planted_on"), days_of(step)) == on(step)
    ),
    RuleId.GAP: lambda step: add_days(on(step, "before_on"), 5) == on(step),
    RuleId.HOLD: lambda step: add_days(on(step, "last_on"), 1) == on(step),
    RuleId.AVOIDED: lambda step: on(step, "was_on") in {add_days(on(step), way) for way in (1, -1)},
    RuleId.WINDOW: lambda step: add_days(on(step, "due_on"), 6) == on(step),
    RuleId.BEFORE_NEXT: lambda step: add_days(on(step), 1) == on(step, "next_on"),
    RuleId.PAST_CUTOFF: lambda step: on(step, "due_on") > on(step, "cutoff_on"),
    RuleId.HELD_PAST_CUTOFF: lambda step: on(step, "held_on") > on(step, "cutoff_on"),
    RuleId.HELD_TOO_NEAR: lambda step: (
        add_days(on(step, "held_on"), int(number(step, "between"))) == on(step, "next_on")
        and number(step, "between") < days_of(step)
    ),
    RuleId.ON_AREA: lambda step: (
        number(step, "litres_per_m2") * number(step, "area_m2")
        == pytest.approx(number(step, "litres"))
    ),
    RuleId.DOSE_CAP: lambda step: (
        2 * number(step, "season_litres") / number(step, "doses")
        == pytest.approx(number(step, "litres"))
    ),
    RuleId.EQUAL_SHARE: lambda step: (
        max(0, number(step, "season_litres") - number(step, "taken_litres"))
        == pytest.approx(number(step, "litres") * number(step, "doses"))
    ),
    RuleId.LEFT_OVER: lambda step: (
        max(0, number(step, "season_litres") - number(step, "poured_litres"))
        == pytest.approx(number(step, "litres"))
    ),
    RuleId.WATER: lambda step: (
        number(step, "litres") * number(step, "ratio")
        == pytest.approx(number(step, "water_litres"))
    ),
    RuleId.PLANTS: lambda step: (
        number(step, "area_m2") * 10_000
        == pytest.approx(number(step, "plants") * number(step, "row_cm") * number(step, "plant_cm"))
    ),
    RuleId.PLANT_SHARE: lambda step: (
        number(step, "litres") * 1000 == pytest.approx(number(step, "plants") * number(step, "ml"))
    ),
    RuleId.SPREAD: lambda step: (
        number(step, "litres_per_m2") * number(step, "area_m2")
        == pytest.approx(number(step, "litres"))
    ),
    RuleId.NITROGEN_CARRIED: lambda step: (
        number(step, "litres_per_m2") * number(step, "n_g_per_litre") * 10
        == pytest.approx(number(step, "n_kg_per_ha"))
    ),
    RuleId.MONTH_AFTER_PLANNED: lambda step: add_days(on(step, "last_on"), 30) == on(step),
}


@given(facts=any_facts())
@example(facts=replace(MAIZE, measure=Measure.GROWER, emerged_on=date(2027, 5, 10)))
def test_the_values_of_a_step_redo_its_sum(facts: SeasonFacts) -> None:
    for subject, step in explain(facts, plan_season(facts)).steps():
        if step.rule in REDONE:
            assert REDONE[step.rule](step), (subject.key, step)


@given(facts=any_facts())
def test_the_amounts_that_are_named_add_up(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    why = explain(facts, plan)
    litres = [last(why.of(About.DOSE_AMOUNT, dose.number), "litres") for dose in plan.doses]

    total = sum(amount for amount in litres if isinstance(amount, float))

    assert len(litres) == len(plan.doses)
    if plan.doses:
        assert total == pytest.approx(last(why.of(About.TOTAL_URINE), "litres"))
    assert max(total, plan.target_litres) == pytest.approx(total + plan.shortfall_litres)


@given(facts=any_facts())
def test_a_capped_or_rounded_amount_is_no_more_than_its_share(facts: SeasonFacts) -> None:
    plan = plan_season(facts)
    why = explain(facts, plan)

    for dose in plan.doses:
        shares = [
            number(step, "litres")
            for step in why.of(About.DOSE_AMOUNT, dose.number)
            if step.rule is not RuleId.TOLD_STAYS
        ]
        assert all(later <= earlier * (1 + 1e-9) for earlier, later in pairwise(shares))
