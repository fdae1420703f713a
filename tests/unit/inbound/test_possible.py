"""What a text to be read may mean, likeliest first."""

from dataclasses import replace

import pytest

from service.inbound.choices import choice_of, reading_of
from service.inbound.possible import possible_readings
from service.inbound.reply_codes import Context, Item, Meaning, Question, Reading
from tests.reply_vectors import CONTEXTS, K, refs


def choices(text: str, context: Context = K) -> list[str]:
    """Return the readings of a text in their short form."""
    return [choice_of(reading) for reading in possible_readings(text, context)]


def test_a_bare_done_may_be_any_open_dose() -> None:
    assert choices("Nimemaliza") == [
        "done A3-0",
        "done D2-0",
        "done A3-0 D2-0",
        "not-done A3-0",
        "not-done D2-0",
        "not-done A3-0 D2-0",
    ]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        pytest.param("A3 but only half of it", "done A3-0", id="a dose with strange words"),
        pytest.param("A3 no problem", "not-done A3-0", id="a no beside the code"),
        pytest.param("A3 D2 jana", "done A3-1 D2-1", id="two doses and one day"),
        pytest.param("A3 in plot D", "done A3-0", id="a dose and another plot"),
        pytest.param("A4", "done A3-0", id="a dose not due: its plot's open one"),
        pytest.param("B3", "done A3-0", id="a letter on the key of an owned one"),
        pytest.param("2 3", "done A3-0", id="keys with a blank between"),
        pytest.param("232", "done A3-0", id="keys with a digit too many"),
        pytest.param("A3 2L", "done A3-0", id="litres are no days"),
        pytest.param("A3 si tayari siku 2", "not-done A3-0", id="a no with a count"),
        pytest.param("imeota", "up A-0", id="plants up, no plot named"),
        pytest.param("harvest", "harvest A-0", id="a harvest, no plot named"),
        pytest.param("A3 harvest", "harvest A-0", id="a dose and a harvest"),
        pytest.param("CAN 7", "sealed 3-0", id="a can that is not being filled"),
        pytest.param("can 3 yesterday perhaps", "sealed 3-1", id="a can and a day"),
        pytest.param("A2 A3", "done A3-0", id="one dose noted, one open"),
        pytest.param("mvua kubwa leo", "rain A-0", id="rain, no plot named"),
    ],
)
def test_the_likeliest_reading_stands_first(text: str, first: str) -> None:
    assert choices(text)[0] == first


def test_two_doses_of_one_plot_are_never_read_together() -> None:
    two = replace(K, open=refs("A3 A4"), done=())

    assert choices("done", two) == ["done A3-0", "done A4-0", "not-done A3-0", "not-done A4-0"]


def test_a_dose_noted_before_may_be_told_again() -> None:
    assert "again A2-0" in choices("A2 A3")


@pytest.mark.parametrize(
    "text", ["imeota", "harvest", "CAN 7", "can I use it now?", "sitaki hii tena labda"]
)
def test_other_news_alone_offers_no_dose(text: str) -> None:
    assert not [choice for choice in choices(text) if "done" in choice]


def test_yes_beside_the_question_after_the_plants_may_say_that_they_are_up() -> None:
    assert choices("yes my friend", CONTEXTS["EM"])[0] == "up A-0"


def test_yes_beside_an_invitation_may_be_a_yes_to_texts() -> None:
    assert choices("yes my friend", CONTEXTS["CO"])[0] == "consent"


@pytest.mark.parametrize("text", ["yes no", "not yes", "done", "stop"])
def test_a_doubtful_word_is_no_yes_to_texts(text: str) -> None:
    assert "consent" not in choices(text, CONTEXTS["CO"])


def test_a_stranger_means_nothing() -> None:
    assert choices("A3", CONTEXTS["UN"]) == []


def test_at_most_seven_are_offered() -> None:
    assert len(choices("done", CONTEXTS["ALL"])) == 7


def test_what_the_situation_refuses_is_left_out() -> None:
    found = possible_readings(
        "done", K, refuses=lambda reading: reading.meaning is not Meaning.DONE
    )

    assert {reading.meaning for reading in found} == {Meaning.DONE}


def test_a_phone_with_nothing_open_has_no_dose_to_offer() -> None:
    assert choices("done", replace(K, open=(), question=Question.EMERGENCE)) == []


@pytest.mark.parametrize(
    ("choice", "reading"),
    [
        pytest.param(
            "done A3-1 D2-1",
            Reading(
                meaning=Meaning.DONE,
                items=(
                    Item(plot="A", dose=3, days_ago=1),
                    Item(plot="D", dose=2, days_ago=1),
                ),
            ),
            id="two doses",
        ),
        pytest.param(
            "sealed 12-2",
            Reading(meaning=Meaning.SEALED, items=(Item(can=12, days_ago=2),)),
            id="a can",
        ),
        pytest.param("up A-0", Reading(meaning=Meaning.UP, items=(Item(plot="A"),)), id="a plot"),
        pytest.param("consent", Reading(meaning=Meaning.CONSENT), id="nothing named"),
    ],
)
def test_a_choice_is_written_and_read_back(choice: str, reading: Reading) -> None:
    assert choice_of(reading) == choice
    assert reading_of(choice) == reading


@pytest.mark.parametrize("choice", ["", "call", "done A3", "done A3-0x", "DONE A3-0", "done  A3-0"])
def test_what_is_no_choice_is_not_read(choice: str) -> None:
    assert reading_of(choice) is None
