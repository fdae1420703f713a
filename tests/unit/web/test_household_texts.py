"""What a text brought is told beside it, and beside no other."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from service.agronomy.containers import CanEventKind
from service.inbound.reply_codes import Meaning
from service.messages.kinds import KINDS
from service.records.fields import ContainerEventRow, FactKind, HoldRow, PlantingFactRow
from service.records.household_talk import CameText, TextNote
from service.records.people import Consent, ConsentEventRow
from service.records.traffic import InboundRow, TaskKind
from service.web.household_texts import CameLine, Hours, meaning_words, talk_days
from service.web.household_words import KIND_WORDS, TASK_WORDS
from service.web.tongue import Tongue, load_tongues
from tests.fresh import TEXTS

AT = datetime(2027, 3, 15, 9, 0, tzinfo=UTC)
LATER = datetime(2027, 3, 15, 12, 0, tzinfo=UTC)
DAY = date(2027, 3, 15)
HOURS = Hours(zone=ZoneInfo("UTC"), today=date(2027, 3, 20))


@pytest.fixture(scope="module")
def english() -> Tongue:
    """The pages' own language."""
    return load_tongues(TEXTS)["en"]


def a_text(hint: str, **changes: object) -> InboundRow:
    values = {
        "id": 1,
        "received_at": AT,
        "read_at": None,
        "read_by": None,
        "read_as": None,
        "to_read": False,
        "meaning": "done",
        "text": "?",
        "hint": hint,
    }
    return InboundRow(**values | changes)


def a_fact(letter: str, number: int | None, kind: FactKind = FactKind.APPLIED) -> TextNote:
    row = PlantingFactRow(kind=kind, dose_number=number, on=DAY)
    return TextNote(recorded_at=AT, row=row, letter=letter)


def told(text: InboundRow, notes: list[TextNote], english: Tongue) -> list[str]:
    """Return what the page says a text has brought."""
    (day,) = talk_days([CameText(at=text.received_at, row=text)], notes, hours=HOURS, preview=str)
    (line,) = day.lines
    assert isinstance(line, CameLine)
    return [english.say(note) for note in line.notes]


def test_of_two_texts_taken_in_at_once_each_brought_what_it_names(english: Tongue) -> None:
    notes = [a_fact("A", 3), a_fact("D", 3), a_fact("A", 2)]

    assert told(a_text("A3-0"), notes, english) == ["A3 done on Monday 15 March 2027."]
    assert told(a_text("D3-0 A2-1"), notes, english) == [
        "D3 done on Monday 15 March 2027.",
        "A2 done on Monday 15 March 2027.",
    ]


def test_can_and_dose_of_one_number_are_told_apart(english: Tongue) -> None:
    can = TextNote(recorded_at=AT, row=ContainerEventRow(kind=CanEventKind.SEALED, on=DAY), can=3)

    assert told(a_text("A3-0"), [can], english) == []
    assert told(a_text("3-0", meaning="sealed"), [can], english) == [
        "Can 3 sealed on Monday 15 March 2027."
    ]


def test_what_was_noted_at_another_time_belongs_to_another_text(english: Tongue) -> None:
    assert told(a_text("A3-0", received_at=LATER), [a_fact("A", 3)], english) == []


def test_what_a_reader_noted_later_stands_by_the_text_they_read(english: Tongue) -> None:
    text = a_text("which job?", to_read=True, received_at=LATER, read_at=AT, read_by="Neema Test")

    assert told(text, [a_fact("A", 3)], english) == ["A3 done on Monday 15 March 2027."]


def test_a_hold_stands_by_the_text_about_its_plot(english: Tongue) -> None:
    hold = HoldRow(first_on=DAY, last_on=date(2027, 3, 16))
    notes = [TextNote(recorded_at=AT, row=hold, letter=letter) for letter in "AD"]

    assert told(a_text("D-0", meaning="rain"), notes, english) == [
        "Plot D waits from Monday 15 March 2027 to Tuesday 16 March 2027."
    ]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        pytest.param(Consent.GIVEN, "Texts go to this phone.", id="yes"),
        pytest.param(Consent.STOPPED, "All texts to this phone have stopped.", id="stop"),
    ],
)
def test_consent_stands_by_the_very_text_that_gave_it(
    english: Tongue, kind: Consent, words: str
) -> None:
    notes = [
        TextNote(recorded_at=AT, row=ConsentEventRow(kind=kind, key=f"text:{number}"))
        for number in (1, 2)
    ]

    assert told(a_text(""), notes, english) == [words]


@pytest.mark.parametrize("kind", FactKind)
def test_every_fact_has_its_own_words(english: Tongue, kind: FactKind) -> None:
    (words,) = told(a_text("A-0"), [a_fact("A", None, kind)], english)

    others = {told(a_text("A-0"), [a_fact("A", None, other)], english)[0] for other in FactKind}
    assert len(others) == len(FactKind)
    assert words in others


@pytest.mark.parametrize("meaning", Meaning)
def test_every_meaning_is_said_in_words(english: Tongue, meaning: Meaning) -> None:
    words = english.say(meaning_words(meaning))

    assert words
    assert "%" not in words


def test_every_kind_of_text_is_named() -> None:
    assert KIND_WORDS.keys() == KINDS.keys()


def test_every_task_is_named() -> None:
    assert TASK_WORDS.keys() == set(TaskKind)


def test_what_a_reader_decided_stands_in_place_of_the_doubt(english: Tongue) -> None:
    text = a_text("which job?", to_read=True, read_at=LATER, read_as="nothing")
    (day,) = talk_days([CameText(at=AT, row=text)], [], hours=HOURS, preview=str)
    (line,) = day.lines

    assert isinstance(line, CameLine)
    assert (english.say(line.meaning), line.waits) == ("Nothing to do", False)
