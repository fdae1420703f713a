"""Made-up season facts for the laws of the plan."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

from hypothesis import strategies as st

from service.agronomy.calendar import add_days
from service.agronomy.crops import crops
from service.agronomy.season import Hold, Measure, SeasonFacts, Soil
from service.agronomy.season_plan import SeasonPlan

PLANTED_ON = date(2027, 3, 15)
NUMBERS = range(1, 8)


def days(most: int) -> st.SearchStrategy[date]:
    return st.integers(0, most).map(lambda count: add_days(PLANTED_ON, count))


@st.composite
def holds(draw: st.DrawFn) -> Hold:
    first_on = draw(days(100))
    return Hold(first_on=first_on, last_on=add_days(first_on, draw(st.integers(0, 12))))


PLANNED_CROPS = [row for row in crops().values() if not row.legume and not row.perennial]
PLAIN_FACTS = st.builds(
    SeasonFacts,
    crop=st.sampled_from(PLANNED_CROPS),
    planted_on=st.just(PLANTED_ON),
    area_m2=st.floats(1, 10_000),
    litres_per_m2=st.floats(0.1, 6),
    soil=st.sampled_from(Soil),
    emerged_on=st.none() | days(60),
    first_harvest_on=st.none() | days(250),
    season_days=st.none() | st.integers(1, 300),
    fraction=st.fractions(Fraction(2, 3), Fraction(3, 4), max_denominator=100),
    transplanted=st.none() | st.booleans(),
    water_ratio=st.floats(0, 10),
    holds=st.lists(holds(), max_size=4).map(tuple),
    not_ready=st.frozensets(st.sampled_from(NUMBERS), max_size=2),
    measure=st.sampled_from(Measure),
)


@st.composite
def lived_facts(draw: st.DrawFn) -> SeasonFacts:
    """Return facts of a season under way: some doses given or missed, some amounts told."""
    facts = draw(PLAIN_FACTS)
    given = draw(st.dictionaries(st.sampled_from(NUMBERS), days(120), max_size=4))
    missed = draw(st.dictionaries(st.sampled_from(NUMBERS), days(120), max_size=2))
    told = draw(st.dictionaries(st.sampled_from(NUMBERS), st.floats(0.1, 500), max_size=4))
    return replace(
        facts,
        given=given,
        missed={number: on for number, on in missed.items() if number not in given},
        told_litres=told,
    )


def told_of(plan: SeasonPlan) -> dict[int, float]:
    return {dose.number: dose.litres for dose in plan.doses}
