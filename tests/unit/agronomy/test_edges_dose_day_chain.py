"""The values that a dose's day is redone from.

Maize sown on 15 March 2027, a Monday: doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May;
the last day for a dose is 6 June. Five days lie between two doses, six follow a dose's own.
"""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.explain import explain
from service.agronomy.perennial import perennial_rule
from service.agronomy.reason_origins import month_origin
from service.agronomy.reasons import About, Chain, RuleId
from service.agronomy.rules import rules
from service.agronomy.season import Hold, SeasonFacts, plan_season
from service.agronomy.watering import SeasonSpan

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def chain(facts: SeasonFacts, about: About, number: int) -> Chain:
    return explain(facts, plan_season(facts)).of(about, number)


def day(facts: SeasonFacts, number: int) -> Chain:
    return chain(facts, About.DOSE_DAY, number)


def held(first_on: date, last_on: date) -> SeasonFacts:
    return replace(MAIZE, holds=(Hold(first_on=first_on, last_on=last_on),))


def test_the_first_dose_falls_on_planting_and_the_others_count_from_emergence() -> None:
    first, third = day(MAIZE, 1), day(replace(MAIZE, emerged_on=date(2027, 3, 21)), 3)

    assert [(step.rule, dict(step.values)) for step in first] == [
        (RuleId.DOSE_AT_PLANTING, {"number": 1, "on": date(2027, 3, 15)})
    ]
    assert [(step.rule, dict(step.values)) for step in third] == [
        (
            RuleId.AFTER_EMERGENCE,
            {"number": 3, "days": 14, "up_on": date(2027, 3, 21), "on": date(2027, 4, 4)},
        )
    ]
    assert [step.rule for step in day(MAIZE, 2)] == [RuleId.AFTER_ASSUMED_EMERGENCE]


def test_a_dose_in_the_rains_counts_from_their_first_day() -> None:
    rains = SeasonSpan(season=Season.RAINS, first_on=date(2027, 4, 1), last_on=date(2027, 5, 31))
    banana = replace(MAIZE, crop=crop("banana"), spans=(rains,))

    (step,) = day(banana, 1)

    assert (step.rule, step.values["rain_on"]) == (RuleId.IN_RAINS, date(2027, 4, 1))
    assert step.values["days"] == perennial_rule().first_after_days
    assert step.values["on"] == plan_season(banana).doses[0].due_on


def test_a_gap_names_the_day_it_counts_from() -> None:
    """Dose 2 was given on 2 April, so that dose 3 waits until 7 April."""
    moved = day(replace(MAIZE, given={2: date(2027, 4, 2)}), 3)

    assert [step.rule for step in moved[1:]] == [RuleId.GAP]
    assert moved[1].values == {
        "days": 5,
        "before_on": date(2027, 4, 2),
        "on": date(2027, 4, 7),
    }


def test_of_doses_given_near_together_the_last_one_counts() -> None:
    """Doses 2 and 4 were given on 1 and 3 April; dose 3 waits for the fifth day after 3 April."""
    moved = day(replace(MAIZE, given={2: date(2027, 4, 1), 4: date(2027, 4, 3)}), 3)

    assert moved[-1].values["before_on"] == date(2027, 4, 3)
    assert moved[-1].values["on"] == date(2027, 4, 8)


def test_days_given_that_push_a_dose_from_one_to_the_next_are_one_step() -> None:
    """Dose 4 on 2 April pushes dose 3 to 7 April, and dose 5 on 6 April from there to 11 April."""
    moved = day(replace(MAIZE, given={4: date(2027, 4, 2), 5: date(2027, 4, 6)}), 3)

    assert [step.values["on"] for step in moved[1:]] == [date(2027, 4, 11)]


def test_a_dose_gives_way_to_a_later_one_given_on_its_own_day() -> None:
    moved = day(replace(MAIZE, given={4: date(2027, 4, 4)}), 3)

    assert [step.values["on"] for step in moved[1:]] == [date(2027, 4, 9)]


def test_a_pattern_with_doses_too_near_says_that_they_keep_their_gap() -> None:
    """Up on 21 March: dose 2 on 24 March, dose 3 not on 27 March but on the fifth day."""
    near = replace(MAIZE, emerged_on=date(2027, 3, 21), after_emergence_days=(3, 6))

    moved = day(near, 3)

    assert [step.rule for step in moved] == [RuleId.AFTER_EMERGENCE, RuleId.GAP]
    assert moved[1].values["before_on"] == date(2027, 3, 24)
    assert moved[1].values["on"] == date(2027, 3, 29)


@pytest.mark.parametrize(
    ("first_on", "last_on"),
    [
        pytest.param(date(2027, 4, 18), date(2027, 4, 20), id="from its day"),
        pytest.param(date(2027, 4, 15), date(2027, 4, 18), id="up to its day"),
    ],
)
def test_a_hold_moves_a_dose_to_the_day_after_it(first_on: date, last_on: date) -> None:
    moved = day(held(first_on, last_on), 5)

    assert [step.rule for step in moved[1:]] == [RuleId.HOLD]
    assert moved[1].values == {
        "first_on": first_on,
        "last_on": last_on,
        "on": date(2027, 4, last_on.day + 1),
    }


def test_holds_that_touch_are_named_one_after_the_other() -> None:
    first = Hold(first_on=date(2027, 4, 18), last_on=date(2027, 4, 19))
    second = Hold(first_on=date(2027, 4, 20), last_on=date(2027, 4, 21))

    moved = day(replace(MAIZE, holds=(second, first)), 5)

    assert [step.values["on"] for step in moved] == [
        date(2027, 4, 18),
        date(2027, 4, 20),
        date(2027, 4, 22),
    ]


def test_a_day_to_avoid_is_told_with_the_day_beside_it() -> None:
    moved = day(replace(MAIZE, avoided=frozenset({6})), 2)

    assert moved[-1].values == {"was_on": date(2027, 3, 28), "on": date(2027, 3, 29)}


def test_a_dose_that_closed_on_its_usual_day_says_no_more() -> None:
    assert len(day(replace(MAIZE, missed={2: date(2027, 3, 28)}), 2)) == 1
    kept = day(replace(MAIZE, missed={2: date(2027, 3, 30)}), 2)
    assert (len(kept), kept[-1].values) == (2, {"on": date(2027, 3, 30)})


def test_a_dose_outside_the_pattern_that_closed_keeps_its_day() -> None:
    facts = replace(MAIZE, missed={8: date(2027, 5, 30)})

    assert [step.rule for step in day(facts, 8)] == [RuleId.KEEPS_DAY]


def test_a_dose_outside_the_pattern_that_was_given_has_its_day() -> None:
    facts = replace(MAIZE, given={8: date(2027, 5, 30)})

    assert [step.rule for step in day(facts, 8)] == [RuleId.GIVEN]


def test_a_dose_stays_open_for_six_days_and_shorter_where_another_rule_says_so() -> None:
    """Given on 28 March, dose 1 pushes dose 2 to 2 April; dose 3 then comes on 7 April."""
    window = chain(MAIZE, About.DOSE_CLOSES, 1)
    near = chain(replace(MAIZE, given={1: date(2027, 3, 28)}), About.DOSE_CLOSES, 2)
    early = chain(replace(MAIZE, first_harvest_on=date(2027, 6, 17)), About.DOSE_CLOSES, 7)

    assert [dict(step.values) for step in window] == [
        {"days": 6, "due_on": date(2027, 3, 15), "on": date(2027, 3, 21)}
    ]
    assert [dict(step.values) for step in near[1:]] == [
        {"next_on": date(2027, 4, 7), "on": date(2027, 4, 6)}
    ]
    assert [(step.rule, dict(step.values)) for step in early[1:]] == [
        (RuleId.UP_TO_CUTOFF, {"on": date(2027, 5, 18)})
    ]


def test_a_dose_six_days_before_the_next_ends_on_the_day_between() -> None:
    """Dose 2 on 28 March, dose 3 on 3 April."""
    found = chain(replace(MAIZE, after_emergence_days=(7, 13)), About.DOSE_CLOSES, 2)

    assert [step.rule for step in found] == [RuleId.WINDOW, RuleId.BEFORE_NEXT]
    assert found[-1].values["on"] == date(2027, 4, 2)


def test_a_rule_that_shortens_nothing_is_not_named() -> None:
    """Doses a week apart end with their sixth day; so does one six days before the last day."""
    week_apart = chain(MAIZE, About.DOSE_CLOSES, 2)
    last = chain(replace(MAIZE, first_harvest_on=date(2027, 6, 21)), About.DOSE_CLOSES, 7)

    assert [step.rule for step in week_apart] == [RuleId.WINDOW]
    assert [step.rule for step in last] == [RuleId.WINDOW]
    assert last[0].values["on"] == date(2027, 5, 22)


def test_a_dose_due_on_the_last_day_of_all_needs_no_rule_of_its_own() -> None:
    facts = replace(MAIZE, first_harvest_on=date(2027, 6, 15))

    found = chain(facts, About.DOSE_CLOSES, 7)

    assert [step.rule for step in found] == [RuleId.WINDOW, RuleId.UP_TO_CUTOFF]
    assert found[-1].values == {"on": date(2027, 5, 16)}


def test_a_dose_held_up_to_the_next_ones_gap_names_both_days() -> None:
    """Dose 3 could be given on 8 April, three days before dose 4."""
    found = chain(held(date(2027, 4, 3), date(2027, 4, 7)), About.DOSE_DROP, 3)

    assert found[-1].rule is RuleId.HELD_TOO_NEAR
    assert found[-1].values == {
        "held_on": date(2027, 4, 8),
        "next_on": date(2027, 4, 11),
        "between": 3,
        "days": 5,
    }


def test_a_dose_held_up_to_a_later_number_given_before_names_the_days_between() -> None:
    """Dose 4 was given on 6 April, so dose 3, held to 7 April, would come two days after it."""
    facts = replace(held(date(2027, 4, 3), date(2027, 4, 7)), given={4: date(2027, 4, 6)})

    found = chain(facts, About.DOSE_DROP, 3)

    assert [step.rule for step in found] == [RuleId.HOLD, RuleId.HELD_TOO_NEAR]
    assert found[-1].values == {
        "held_on": date(2027, 4, 8),
        "next_on": date(2027, 4, 6),
        "between": 2,
        "days": 5,
    }


def test_a_dose_held_past_the_last_day_names_both_days_and_the_rule() -> None:
    found = chain(held(date(2027, 5, 16), date(2027, 6, 6)), About.DOSE_DROP, 7)

    assert found[-1].values == {"held_on": date(2027, 6, 7), "cutoff_on": date(2027, 6, 6)}
    assert found[-1].origin == rules().origins["season_share"]


def test_a_dose_moved_by_hold_after_hold_counts_from_the_last_of_them() -> None:
    first = Hold(first_on=date(2027, 5, 16), last_on=date(2027, 5, 20))
    second = Hold(first_on=date(2027, 5, 21), last_on=date(2027, 6, 6))

    found = chain(replace(MAIZE, holds=(first, second)), About.DOSE_DROP, 7)

    assert [step.rule for step in found] == [RuleId.HOLD, RuleId.HOLD, RuleId.HELD_PAST_CUTOFF]
    assert found[-1].values["held_on"] == date(2027, 6, 7)


def test_a_dose_held_past_the_last_day_with_its_gap_kept_is_not_too_near() -> None:
    """Dose 6 could be given on 7 June at the earliest; dose 7 was given five days after that."""
    held_on = Hold(first_on=date(2027, 5, 2), last_on=date(2027, 6, 6))
    facts = replace(MAIZE, holds=(held_on,), given={7: date(2027, 6, 12)})

    found = chain(facts, About.DOSE_DROP, 6)

    assert found[-1].rule is RuleId.HELD_PAST_CUTOFF


def test_a_dose_past_a_month_before_harvest_names_that_month() -> None:
    facts = replace(MAIZE, first_harvest_on=date(2027, 6, 1))

    (late,) = chain(facts, About.DOSE_DROP, 7)

    assert late.values == {"due_on": date(2027, 5, 16), "cutoff_on": date(2027, 5, 2)}
    assert late.origin == month_origin()
