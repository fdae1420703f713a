"""The values that a plan's litres are redone from.

Maize sown on 15 March 2027 on 100 square metres: 150 L over seven doses.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.explain import explain
from service.agronomy.reasons import About, Chain, RuleId, Value
from service.agronomy.season import SeasonFacts, Soil, plan_season

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def chain(facts: SeasonFacts, about: About, number: int | None = None) -> Chain:
    return explain(facts, plan_season(facts)).of(about, number)


def values(chain: Chain, rule: RuleId) -> Mapping[str, Value]:
    (found,) = [step.values for step in chain if step.rule is rule]
    return found


def test_poor_soil_halves_the_target_and_the_warning() -> None:
    """A project choice: half of 4 L, and half of the 3 L from which a target is warned of."""
    found = chain(replace(MAIZE, soil=Soil.SALTY, litres_per_m2=4), About.TARGET)

    assert values(found, RuleId.POOR_SOIL) == {"soil": "salty", "share": 0.5, "litres_per_m2": 2}
    assert values(found, RuleId.OVER_WARNING) == {"litres_per_m2": 2, "most": 1.5}
    assert values(found, RuleId.ON_AREA) == {"litres_per_m2": 2, "area_m2": 100, "litres": 200}


def test_a_dose_left_out_takes_no_litre() -> None:
    found = chain(replace(MAIZE, site_open=False), About.DOSE_AMOUNT, 3)

    assert [step.values for step in found] == [{"litres": 0}]


def test_litres_left_over_are_those_of_the_season_less_those_poured() -> None:
    """One dose fits; no dose holds more than twice a seventh of 150 L."""
    found = chain(replace(MAIZE, first_harvest_on=date(2027, 4, 20)), About.SHORTFALL)

    assert values(found, RuleId.CAP_LEAVES_OVER) == {"doses": 1, "litres": pytest.approx(300 / 7)}
    assert values(found, RuleId.LEFT_OVER) == {
        "season_litres": 150,
        "poured_litres": pytest.approx(300 / 7),
        "litres": pytest.approx(150 - 300 / 7),
    }


def test_a_share_is_what_is_left_over_the_doses_that_are() -> None:
    """21 L are told of dose 1 and 29 of dose 5: 100 L for the other five, 20 L each.

    Dose 4 finds 20 L of dose 2 and 20 of dose 3 taken as well: 60 L for three.
    """
    facts = replace(MAIZE, told_litres={1: 21.0, 5: 29.0})

    shares = [chain(facts, About.DOSE_AMOUNT, number)[0].values for number in (2, 4, 7)]

    assert [tuple(share.values()) for share in shares] == [
        pytest.approx((150, 50, 100, 5, 20)),
        pytest.approx((150, 90, 60, 3, 20)),
        pytest.approx((150, 130, 20, 1, 20)),
    ]
    assert list(shares[0]) == ["season_litres", "taken_litres", "rest_litres", "doses", "litres"]


def test_where_more_was_told_than_the_season_has_nothing_is_left() -> None:
    found = chain(replace(MAIZE, told_litres={1: 160.0}), About.DOSE_AMOUNT, 2)

    assert values(found, RuleId.EQUAL_SHARE) == {
        "season_litres": 150,
        "taken_litres": 160,
        "rest_litres": 0,
        "doses": 6,
        "litres": 0,
    }
