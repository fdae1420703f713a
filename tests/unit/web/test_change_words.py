"""What a correction changes, said dose by dose."""

from dataclasses import replace
from datetime import date

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.season import Hold, SeasonFacts, plan_season
from service.confirmations.staff_outcomes import Replanned
from service.web.change_words import plan_notes
from service.web.tongue import load_tongues
from tests.fresh import TEXTS

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)
TODAY = date(2027, 3, 10)


def lines(after: SeasonFacts, *, before: SeasonFacts = MAIZE, today: date = TODAY) -> list[str]:
    plan = Replanned(
        planting_id=1,
        letter="A",
        crop="maize-grain",
        before=plan_season(before),
        after=plan_season(after),
    )
    english = load_tongues(TEXTS)["en"]
    return [english.say(note) for note in plan_notes([plan], today=today)]


def test_a_plan_that_stayed_says_so() -> None:
    assert lines(MAIZE) == ["No dose to come has changed."]


def test_other_litres_are_said_with_those_before() -> None:
    """Half the ground: 150 L and 75 L, a seventh of each."""
    found = lines(replace(MAIZE, area_m2=50))

    assert len(found) == 7
    assert found[0] == "A1 on Monday 15 March 2027: 10.71 L, before 21.43 L."


def test_doses_of_the_past_are_not_named() -> None:
    found = lines(replace(MAIZE, area_m2=50), today=date(2027, 5, 3))

    assert [line.split()[0] for line in found] == ["A7"]


def test_a_dose_that_a_hold_moves_is_said_with_the_reason() -> None:
    hold = Hold(first_on=date(2027, 5, 16), last_on=date(2027, 5, 17))

    (line,) = lines(replace(MAIZE, holds=(hold,)))

    assert line == (
        "A7 moves from Sunday 16 May 2027 to Tuesday 18 May 2027, 21.43 L, before 21.43 L:"
        " nothing is given on the days before."
    )


def test_doses_that_a_later_sowing_moves_follow_their_pattern() -> None:
    found = lines(replace(MAIZE, planted_on=add_days(MAIZE.planted_on, 7)))

    assert len(found) == 7
    assert all("the days of its pattern have moved" in line for line in found)


def test_doses_that_ground_at_risk_drops_come_back_with_a_decision() -> None:
    closed = replace(MAIZE, site_open=False)

    gone, back = lines(closed), lines(MAIZE, before=closed)

    assert gone[0] == (
        "A1 of Monday 15 March 2027 is left out. Its ground waits for a decision: nothing is"
        " given there."
    )
    assert back[0] == "A1 is planned for Monday 15 March 2027: 21.43 L."
    assert len(gone) == len(back) == 7


def test_more_lines_than_a_cookie_carries_are_counted() -> None:
    half = replace(MAIZE, area_m2=50)
    plans = [
        Replanned(
            planting_id=planting,
            letter=letter,
            crop="maize-grain",
            before=plan_season(MAIZE),
            after=plan_season(half),
        )
        for planting, letter in enumerate("AD")
    ]
    english = load_tongues(TEXTS)["en"]

    found = [english.say(note) for note in plan_notes(plans, today=TODAY)]

    assert len(found) == 11
    assert found[-1] == "4 more doses have changed: look at the plantings."
