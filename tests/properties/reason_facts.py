"""Made-up season facts with all that can move a dose, for the laws of the reasons."""

from dataclasses import replace

from hypothesis import strategies as st

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.season import SeasonFacts
from service.agronomy.watering import SeasonSpan
from tests.properties.season_facts import days, lived_facts


@st.composite
def spans(draw: st.DrawFn) -> SeasonSpan:
    first_on = draw(days(100))
    return SeasonSpan(
        season=draw(st.sampled_from(Season)),
        first_on=first_on,
        last_on=add_days(first_on, draw(st.integers(0, 60))),
    )


@st.composite
def any_facts(draw: st.DrawFn) -> SeasonFacts:
    """Return facts of a season under way, with weekdays to avoid, seasons and a closed site."""
    facts = draw(lived_facts())
    if draw(st.sampled_from((False, False, False, True))):
        return _perennial(draw, facts)
    return replace(
        facts,
        avoided=draw(st.frozensets(st.integers(0, 6), max_size=2)),
        spans=draw(st.lists(spans(), max_size=2).map(tuple)),
        water_chosen=draw(st.none() | st.just(facts.water_ratio)),
        site_open=draw(st.sampled_from((True, True, True, False))),
    )


def _perennial(draw: st.DrawFn, facts: SeasonFacts) -> SeasonFacts:
    rains = replace(draw(spans()), season=Season.RAINS)
    others = draw(st.lists(spans(), max_size=2))
    return replace(
        facts,
        crop=crop(draw(st.sampled_from(("banana", "coffee")))),
        spans=(rains, *others),
        first_harvest_on=draw(st.none() | days(60)),
        site_open=draw(st.booleans()),
    )
