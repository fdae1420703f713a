"""The values that a season's days are redone from.

Maize sown on 15 March 2027 stands 125 days; two thirds of them end on 6 June.
"""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.day_chain import cutoff_chain, cutoff_origin
from service.agronomy.dosing import Season
from service.agronomy.explain import explain
from service.agronomy.grounds import Case, Grounds
from service.agronomy.perennial import perennial_rule
from service.agronomy.reason_origins import month_origin
from service.agronomy.reasons import About, Chain, RuleId
from service.agronomy.rules import rules
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.watering import SeasonSpan

SOWN_ON = date(2027, 3, 15)
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=SOWN_ON, area_m2=100, season_days=125)
BANANA = replace(
    MAIZE,
    crop=crop("banana"),
    season_days=None,
    spans=(SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 5, 31)),),
)


def case(facts: SeasonFacts) -> Case:
    return Case(facts=facts, plan=plan_season(facts), grounds=Grounds())


def chain(facts: SeasonFacts, about: About) -> Chain:
    return explain(facts, plan_season(facts)).of(about)


def test_the_last_day_is_the_earlier_of_two_and_both_are_shown() -> None:
    """Two thirds of 125 days are 83.3, of which 83 are counted; the harvest is on 18 July."""
    share, month, binds = cutoff_chain(case(MAIZE))

    assert share.values == {
        "share": "2/3",
        "days": 125,
        "part": 83,
        "planted_on": SOWN_ON,
        "on": date(2027, 6, 6),
    }
    assert month.values == {
        "days": 30,
        "harvest_on": date(2027, 7, 18),
        "on": date(2027, 6, 18),
    }
    assert (binds.rule, binds.values) == (RuleId.CUTOFF_SHARE_BINDS, {"on": date(2027, 6, 6)})


def test_the_last_day_has_the_source_of_the_rule_that_sets_it() -> None:
    early = replace(MAIZE, first_harvest_on=date(2027, 6, 1))

    assert cutoff_origin(case(MAIZE)) == rules().origins["season_share"]
    assert cutoff_origin(case(early)) == month_origin()
    assert cutoff_origin(case(BANANA)) == perennial_rule().origin
    assert len({cutoff_origin(case(facts)) for facts in (MAIZE, early, BANANA)}) == 3


def test_a_crop_that_bears_for_years_keeps_a_month_only_before_a_picking_that_is_known() -> None:
    (bears,) = cutoff_chain(case(BANANA))
    picked = replace(BANANA, first_harvest_on=date(2027, 9, 1))

    assert bears.values == {
        "planted_on": SOWN_ON,
        "days": BANANA.crop.season_days,
        "on": add_days(SOWN_ON, BANANA.crop.season_days),
    }
    assert [step.rule for step in cutoff_chain(case(picked))] == [
        RuleId.PICKING_MONTH,
        RuleId.CUTOFF_BEARS_ON,
    ]


@pytest.mark.parametrize(
    ("emerged_on", "transplanted", "rule"),
    [
        pytest.param(None, None, RuleId.EMERGENCE_ASSUMED, id="sown"),
        pytest.param(None, True, RuleId.EMERGENCE_ASSUMED_PLANTED_OUT, id="planted out"),
        pytest.param(date(2027, 3, 21), None, RuleId.EMERGED_TOLD, id="told"),
    ],
)
def test_emergence_is_told_or_assumed(
    emerged_on: date | None, rule: RuleId, *, transplanted: bool | None
) -> None:
    found = chain(replace(MAIZE, emerged_on=emerged_on, transplanted=transplanted), About.EMERGENCE)

    assert [step.rule for step in found] == [rule]
    assert found[0].values["on"] == (emerged_on or date(2027, 3, 21))


def test_a_harvest_within_the_season_is_told_without_the_season() -> None:
    told = chain(replace(MAIZE, first_harvest_on=date(2027, 7, 1)), About.FIRST_HARVEST)
    usual = chain(MAIZE, About.FIRST_HARVEST)

    assert [step.rule for step in told] == [RuleId.HARVEST_ENTERED]
    assert [step.rule for step in usual] == [RuleId.SEASON_ENTERED, RuleId.HARVEST_AT_END]
    assert usual[1].values["on"] == date(2027, 7, 18)
