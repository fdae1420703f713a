"""The line that follows a report, for each outcome there is."""

from datetime import date
from pathlib import Path
from typing import get_args

import pytest

from service.confirmations.outcomes import (
    Again,
    Burnt,
    Done,
    Harvested,
    Held,
    LastDone,
    NeedsReading,
    NotDone,
    Outcome,
    Sealed,
    Sown,
    TooMuch,
    Unready,
    Up,
)
from service.web.outcome_words import outcome_words
from service.web.tongue import Tongue, load_tongues

ON, LATER = date(2027, 4, 3), date(2027, 4, 11)
OUTCOMES: list[tuple[Outcome, str]] = [
    (
        Done(code="A3", letter="A", on=ON, next_on=LATER, moved=False),
        "Next: A4 on Sunday 11 April 2027.",
    ),
    (Done(code="A3", letter="A", on=ON, next_on=LATER, moved=True), "Next: A4, moved to Sunday"),
    (
        LastDone(code="A7", letter="A", crop="maize-grain", harvest_on=LATER),
        "Do not harvest or eat before Sunday 11 April 2027.",
    ),
    (Unready(code="A1", letter="A", harvest_on=LATER), "Wash hands and tools with soap."),
    (
        TooMuch(letter="A", given_l=30.5, max_l=150.0, next_on=LATER),
        "30.5 L of the season's 150 L. Give no more before Sunday 11 April 2027.",
    ),
    (TooMuch(letter="A", given_l=30, max_l=150, next_on=None), "Give no more this season"),
    (Again(code="A3", on=ON), "A3 was noted before, as done on Saturday 3 April 2027."),
    (NotDone(code="A3", until=LATER), "Its last day is Sunday 11 April 2027"),
    (
        Sown(letter="A", crop="maize-grain", on=ON, next_on=LATER),
        "sown on Saturday 3 April 2027. Next dose: A4 on Sunday 11 April 2027.",
    ),
    (Sown(letter="A", crop="maize-grain", on=ON, next_on=None), "No dose is due after today."),
    (Up(letter="A", on=ON, next_on=LATER), "plants up on plot A on Saturday 3 April 2027. Next"),
    (Up(letter="A", on=ON, next_on=None), "No dose is due after today."),
    (Held(code="A3", letter="A", next_on=LATER), "A3 waits until Sunday 11 April 2027."),
    (Held(code="A3", letter="A", next_on=None), "A3 is left out"),
    (Harvested(letter="A", on=ON, safe_on=None), "This planting is closed."),
    (
        Harvested(letter="A", on=ON, safe_on=LATER),
        "do not harvest more or eat of it before Sunday 11 April 2027.",
    ),
    (
        Sealed(number=2, on=ON, wait_days=8, ready_on=LATER),
        "can 2 sealed on Saturday 3 April 2027. It is ready on Sunday 11 April 2027.",
    ),
    (Burnt(letter="A"), "The next dose waits 7 days"),
    (NeedsReading(hint="future"), "Write a day up to today."),
]


@pytest.fixture(scope="module")
def english(tmp_path_factory: pytest.TempPathFactory) -> Tongue:
    """The pages' own language, without any catalogue."""
    folder: Path = tmp_path_factory.mktemp("locales")
    return load_tongues(folder)["en"]


@pytest.mark.parametrize(("outcome", "words"), OUTCOMES, ids=lambda value: str(value)[:40])
def test_an_outcome_is_told_with_the_next_step(
    english: Tongue, outcome: Outcome, words: str
) -> None:
    assert words in english.say(outcome_words(outcome, next_code="A4"))


def test_the_next_dose_may_be_told_without_its_code(english: Tongue) -> None:
    done = Done(code="A3", letter="A", on=ON, next_on=LATER, moved=True)

    assert english.say(outcome_words(done)).endswith("Next dose on Sunday 11 April 2027.")


def test_every_kind_of_outcome_is_told_here() -> None:
    assert {type(outcome) for outcome, _ in OUTCOMES} == set(get_args(Outcome))
