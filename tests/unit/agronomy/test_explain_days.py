"""Why a plan says what it says: the rules that are named, one season at a time.

Maize sown on 15 March 2027, a Monday: doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May;
the last day for a dose is 6 June.
"""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.explain import explain
from service.agronomy.grounds import Grounds
from service.agronomy.reasons import About, Chain, Explanation, RuleId, Subject
from service.agronomy.season import Hold, SeasonFacts, plan_season

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def why(facts: SeasonFacts, grounds: Grounds | None = None) -> Explanation:
    return explain(facts, plan_season(facts), grounds)


def rules_of(chain: Chain) -> list[RuleId]:
    return [step.rule for step in chain]


def test_a_subject_in_one_word_carries_its_number() -> None:
    assert Subject(about=About.CUTOFF).key == "cutoff"
    assert Subject(about=About.DOSE_DAY, number=3).key == "dose-3-day"
    assert Subject(about=About.CAUTION, number=2).key == "caution-2"


def test_a_plan_without_a_dose_left_out_explains_all_it_shows() -> None:
    keys = [subject.key for subject in why(MAIZE).chains]

    assert keys[:6] == ["area", "planted", "emergence", "season", "first-harvest", "cutoff"]
    assert [key for key in keys if key.startswith("dose-7")] == [
        "dose-7-day",
        "dose-7-amount",
        "dose-7-water",
        "dose-7-plant",
        "dose-7-closes",
    ]
    assert "shortfall" not in keys
    assert why(MAIZE).of(About.DOSE_DROP, 1) == ()


def test_a_season_told_names_no_source() -> None:
    told = replace(
        MAIZE,
        emerged_on=date(2027, 3, 22),
        season_days=120,
        first_harvest_on=date(2027, 7, 1),
        litres_per_m2=2,
    )
    found = why(told, Grounds(sown_told=True))

    assert rules_of(found.of(About.PLANTED)) == [RuleId.PLANTED_TOLD]
    assert rules_of(found.of(About.EMERGENCE)) == [RuleId.EMERGED_TOLD]
    assert rules_of(found.of(About.SEASON)) == [RuleId.SEASON_ENTERED]
    assert rules_of(found.of(About.FIRST_HARVEST)) == [RuleId.HARVEST_ENTERED]
    assert found.of(About.TARGET)[0].rule is RuleId.LITRES_ENTERED
    assert {found.of(about)[0].origin for about in (About.PLANTED, About.SEASON)} == {None}


def test_days_that_cannot_be_are_pulled_into_the_season() -> None:
    odd = replace(MAIZE, emerged_on=date(2027, 3, 10), first_harvest_on=date(2027, 9, 1))

    assert rules_of(why(odd).of(About.EMERGENCE)) == [
        RuleId.EMERGED_TOLD,
        RuleId.EMERGED_NOT_BEFORE,
    ]
    assert rules_of(why(odd).of(About.FIRST_HARVEST))[-1] is RuleId.HARVEST_NOT_AFTER_END


def test_a_crop_planted_out_and_picked_often_says_so() -> None:
    tomato = replace(MAIZE, crop=crop("tomato"))

    assert rules_of(why(tomato).of(About.EMERGENCE)) == [RuleId.EMERGENCE_ASSUMED_PLANTED_OUT]
    assert rules_of(why(tomato).of(About.FIRST_HARVEST)) == [RuleId.HARVEST_PICKED]
    assert why(tomato).of(About.CUTOFF)[-1].rule is RuleId.CUTOFF_MONTH_BINDS


@pytest.mark.parametrize(
    ("facts", "number", "rules"),
    [
        pytest.param(
            replace(MAIZE, emerged_on=date(2027, 4, 14)), 7, [RuleId.PAST_CUTOFF], id="too late"
        ),
        pytest.param(
            replace(MAIZE, crop=crop("amaranth")), 1, [RuleId.NO_PLANTING_DOSE], id="tiny seed"
        ),
        pytest.param(
            replace(MAIZE, not_ready=frozenset({2})), 2, [RuleId.NO_CAN_READY], id="no can"
        ),
        pytest.param(replace(MAIZE, site_open=False), 4, [RuleId.SITE], id="a plot at risk"),
        pytest.param(
            replace(MAIZE, holds=(Hold(first_on=date(2027, 4, 3), last_on=date(2027, 4, 7)),)),
            3,
            [RuleId.HOLD, RuleId.HELD_TOO_NEAR],
            id="held until the next is too near",
        ),
        pytest.param(
            replace(MAIZE, holds=(Hold(first_on=date(2027, 5, 16), last_on=date(2027, 6, 6)),)),
            7,
            [RuleId.HOLD, RuleId.HELD_PAST_CUTOFF],
            id="held past the last day",
        ),
    ],
)
def test_a_dropped_dose_names_its_rule(
    facts: SeasonFacts, number: int, rules: list[RuleId]
) -> None:
    assert rules_of(why(facts).of(About.DOSE_DROP, number)) == rules
    assert rules_of(why(facts).of(About.DOSE_AMOUNT, number)) == [RuleId.DROPPED_TAKES_NOTHING]


@pytest.mark.parametrize(
    ("facts", "number", "rules"),
    [
        pytest.param(
            replace(MAIZE, given={2: date(2027, 4, 2)}), 2, [RuleId.GIVEN], id="given on its day"
        ),
        pytest.param(
            replace(MAIZE, given={2: date(2027, 4, 2)}), 3, [RuleId.GAP], id="after a late one"
        ),
        pytest.param(replace(MAIZE, missed={2: date(2027, 3, 28)}), 2, [], id="missed, usual day"),
        pytest.param(
            replace(MAIZE, missed={2: date(2027, 3, 29)}), 2, [RuleId.KEEPS_DAY], id="missed"
        ),
        pytest.param(
            replace(MAIZE, avoided=frozenset({6})), 2, [RuleId.AVOIDED], id="not on Sundays"
        ),
        pytest.param(
            replace(MAIZE, avoided=frozenset({5, 6, 0})),
            2,
            [RuleId.AVOIDED_KEPT],
            id="no day beside it is free",
        ),
    ],
)
def test_a_moved_dose_names_its_rules(facts: SeasonFacts, number: int, rules: list[RuleId]) -> None:
    assert rules_of(why(facts).of(About.DOSE_DAY, number))[1:] == rules


def test_a_dose_closes_by_the_rule_that_comes_first() -> None:
    """Up on 16 April, dose 6 is due on 28 May; a harvest on 1 July ends the doses on 1 June."""
    late = replace(MAIZE, emerged_on=date(2027, 4, 16))
    early_harvest = replace(late, first_harvest_on=date(2027, 7, 1))
    near = replace(MAIZE, given={1: date(2027, 3, 27)})
    past = replace(MAIZE, missed={7: date(2027, 6, 8)})

    assert why(late).of(About.DOSE_CLOSES, 6)[-1].rule is RuleId.WINDOW
    assert why(early_harvest).of(About.DOSE_CLOSES, 6)[-1].rule is RuleId.UP_TO_CUTOFF
    assert why(near).of(About.DOSE_CLOSES, 2)[-1].rule is RuleId.BEFORE_NEXT
    assert why(past).of(About.DOSE_CLOSES, 7)[-1].rule is RuleId.OWN_DAY_ONLY
