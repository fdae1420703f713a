"""A plan made from its shape is the plan, figure for figure."""

from dataclasses import fields, replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop, crops
from service.agronomy.dosing import Season
from service.agronomy.season import Hold, Measure, SeasonFacts, Soil, plan_season
from service.agronomy.season_end import days_of
from service.agronomy.shape import season_shape, shapes_seen
from service.agronomy.shape_plan import plan_by_shape
from service.agronomy.watering import SeasonSpan
from service.errors import RefusedError

PLANNED_CROPS = [row for row in crops().values() if not row.legume and not row.perennial]
PATTERNS = st.sampled_from([(7, 14, 21, 28, 42, 56), (14, 28, 42), (3, 6, 9, 12), ()])


def days_from(planted_on: date, least: int, most: int) -> st.SearchStrategy[date]:
    return st.integers(least, most).map(lambda count: add_days(planted_on, count))


@st.composite
def plain_facts(draw: st.DrawFn) -> SeasonFacts:
    """Return facts of a season in which no dose was given, missed, told or left out yet."""
    planted_on = draw(st.dates(date(2024, 1, 1), date(2030, 12, 31)))
    near = days_from(planted_on, -10, 120)
    pairs = st.tuples(near, st.integers(0, 12)).map(lambda pair: (pair[0], add_days(*pair)))
    row = draw(st.sampled_from(PLANNED_CROPS))
    local = replace(
        row, season_days=draw(st.integers(20, 260)), emergence_days=draw(st.integers(0, 25))
    )
    return SeasonFacts(
        crop=draw(st.sampled_from([row, local])),
        planted_on=planted_on,
        area_m2=draw(st.floats(1, 10_000)),
        litres_per_m2=draw(st.floats(0.1, 5)),
        after_emergence_days=draw(PATTERNS),
        soil=draw(st.sampled_from(Soil)),
        emerged_on=draw(st.none() | days_from(planted_on, -5, 60)),
        first_harvest_on=draw(st.none() | days_from(planted_on, 1, 250)),
        season_days=draw(st.none() | st.integers(1, 300)),
        fraction=draw(st.fractions(Fraction(2, 3), Fraction(3, 4), max_denominator=100)),
        transplanted=draw(st.none() | st.booleans()),
        water_ratio=draw(st.floats(0, 10)),
        water_chosen=draw(st.none() | st.floats(0, 10)),
        spans=tuple(
            SeasonSpan(season=draw(st.sampled_from(Season)), first_on=first, last_on=last)
            for first, last in draw(st.lists(pairs, max_size=2))
        ),
        holds=tuple(
            Hold(first_on=first, last_on=last) for first, last in draw(st.lists(pairs, max_size=3))
        ),
        avoided=draw(st.frozensets(st.integers(0, 6), max_size=2)),
        site_open=draw(st.sampled_from([True, True, True, False])),
        measure=draw(st.sampled_from(Measure)),
    )


MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


@given(facts=plain_facts())
@example(facts=MAIZE)
@example(facts=replace(MAIZE, crop=crop("amaranth")))
@example(facts=replace(MAIZE, area_m2=7.3, measure=Measure.GROWER))
@example(facts=replace(MAIZE, emerged_on=date(2027, 3, 14)))
@example(facts=replace(MAIZE, emerged_on=date(2027, 3, 15), after_emergence_days=(3, 6, 9, 12)))
@example(facts=replace(MAIZE, avoided=frozenset({4}), planted_on=date(2027, 3, 19)))
def test_a_plan_from_its_shape_is_the_plan(facts: SeasonFacts) -> None:
    assert plan_by_shape(facts) == plan_season(facts)


@given(facts=plain_facts(), days=st.integers(1, 400), area_m2=st.floats(1, 10_000))
def test_a_shape_made_for_one_plot_serves_another_day_and_area(
    facts: SeasonFacts, days: int, area_m2: float
) -> None:
    plan_by_shape(facts)
    planted_on = add_days(facts.planted_on, days)
    up_on, harvest_on = facts.emerged_on, facts.first_harvest_on
    other = replace(
        facts,
        planted_on=planted_on,
        area_m2=area_m2,
        emerged_on=None if up_on is None else add_days(up_on, days),
        first_harvest_on=None if harvest_on is None else add_days(harvest_on, days),
    )

    assert plan_by_shape(other) == plan_season(other)


@given(
    facts=plain_facts(),
    news=st.sampled_from(
        [
            {"given": {1: date(2027, 3, 15)}},
            {"missed": {1: date(2027, 3, 15)}},
            {"told_litres": {2: 12.5}},
            {"not_ready": frozenset({3})},
        ]
    ),
)
def test_a_season_under_way_is_planned_by_its_own_facts(
    facts: SeasonFacts, news: dict[str, object]
) -> None:
    lived = replace(facts, **news)  # type: ignore[arg-type]  # -- one of several fields

    assert plan_by_shape(lived) == plan_season(lived)


def test_plots_that_differ_in_day_and_area_alone_share_a_shape() -> None:
    season_shape(MAIZE, days_of(MAIZE))
    hits, made = shapes_seen()

    other = replace(MAIZE, planted_on=date(2027, 4, 2), area_m2=250)
    season_shape(other, days_of(other))

    assert shapes_seen() == (hits + 1, made)


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"crop": crop("cowpea")}, id="legume"),
        pytest.param({"area_m2": 0.5}, id="area"),
        pytest.param({"area_m2": float("nan")}, id="no area"),
        pytest.param({"litres_per_m2": 7.0}, id="over the ceiling"),
        pytest.param({"water_ratio": 11.0}, id="water"),
        pytest.param({"area_m2": 0.5, "crop": crop("banana")}, id="several faults"),
    ],
)
def test_what_the_plan_refuses_is_refused_in_the_same_words(changes: dict[str, object]) -> None:
    facts = replace(MAIZE, **changes)  # type: ignore[arg-type]  # -- one of several fields

    with pytest.raises(RefusedError) as ours:
        plan_by_shape(facts)
    with pytest.raises(RefusedError) as theirs:
        plan_season(facts)

    assert (ours.value.code, str(ours.value)) == (theirs.value.code, str(theirs.value))


def test_each_field_of_the_facts_is_known_to_the_shape() -> None:
    """A new field must enter the shape or make a season plain no more; look before adding it."""
    of_the_shape = {
        "crop", "litres_per_m2", "after_emergence_days", "soil", "emerged_on", "first_harvest_on",
        "season_days", "fraction", "transplanted", "holds", "avoided", "site_open",
    }  # fmt: skip
    of_the_planting = {
        "planted_on", "area_m2", "water_ratio", "water_chosen", "spans", "measure",
    }  # fmt: skip
    under_way = {"given", "missed", "told_litres", "not_ready"}

    assert {field.name for field in fields(SeasonFacts)} == (
        of_the_shape | of_the_planting | under_way
    )
