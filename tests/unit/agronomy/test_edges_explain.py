"""Which subjects a plan explains, and which dose its harvest waits for."""

from dataclasses import replace
from datetime import date

from service.agronomy.crops import crop
from service.agronomy.explain import explain
from service.agronomy.reasons import About
from service.agronomy.season import SeasonFacts, plan_season

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def test_a_harvest_waits_for_the_last_dose_of_the_plan() -> None:
    last, safe = explain(MAIZE, plan_season(MAIZE)).of(About.HARVEST)

    assert last.values == {"number": 7, "on": date(2027, 5, 16)}
    assert safe.values["on"] == date(2027, 6, 15)


def test_a_harvest_waits_for_the_day_that_is_last_and_not_for_the_number() -> None:
    """Dose 7 was given on 3 April already, so that dose 6 on 2 May is the last to come."""
    facts = replace(MAIZE, given={7: date(2027, 4, 3)})

    last, _ = explain(facts, plan_season(facts)).of(About.HARVEST)

    assert last.values == {"number": 6, "on": date(2027, 5, 2)}


def test_a_dose_that_was_given_closes_no_more() -> None:
    facts = replace(MAIZE, given={1: date(2027, 3, 15)})
    found = explain(facts, plan_season(facts))

    assert found.of(About.DOSE_CLOSES, 1) == ()
    assert found.of(About.DOSE_CLOSES, 2) != ()
