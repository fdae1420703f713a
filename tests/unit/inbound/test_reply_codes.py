"""The reading of every vector; the reference vectors were written apart from the parser."""

from dataclasses import replace
from datetime import date

import pytest

from service.inbound.grammar import says_only_no
from service.inbound.reply_codes import (
    Meaning,
    SentText,
    holds_stop_or_refusal,
    read_reply,
)
from tests.reply_vectors import CONTEXTS, OWN, REFERENCE, K, Vector, vectors

DOSE_TEXT = (
    "Fri 19 Mar: maize, plot A. 6 L garden mix + 18 L water, 1 cup/2 plants. In furrow, not on "
    "leaves; cover. Keep children away. Done? Reply A3"
)
ALL = vectors(REFERENCE) + vectors(OWN)


@pytest.mark.parametrize("vector", ALL, ids=lambda vector: vector.where)
def test_a_text_has_the_one_reading_written_beside_it(vector: Vector) -> None:
    reading = read_reply(vector.text, CONTEXTS[vector.context])

    assert reading.meaning is vector.meaning, (vector.text, reading.hint)
    assert vector.items is None or reading.items == vector.items, vector.text


def test_there_are_enough_vectors_and_none_is_written_twice() -> None:
    assert len(vectors(REFERENCE)) == 174
    assert len(ALL) >= 320
    assert len({(vector.context, vector.text) for vector in vectors(OWN)}) == len(vectors(OWN))


@pytest.mark.parametrize(
    "vector",
    [v for v in vectors(OWN) if v.meaning is Meaning.NEEDS_READING],
    ids=lambda vector: vector.where,
)
def test_a_text_to_be_read_says_why_and_names_nothing(vector: Vector) -> None:
    reading = read_reply(vector.text, CONTEXTS[vector.context])

    assert (reading.hint, reading.items) == (vector.said, ())


@pytest.mark.parametrize("text", [DOSE_TEXT, "Fwd: " + DOSE_TEXT], ids=["whole", "forwarded"])
def test_a_reminder_that_comes_back_is_an_echo(text: str) -> None:
    context = replace(K, sent=(SentText(text=DOSE_TEXT, sent_on=date(2027, 3, 18)),))

    reading = read_reply(text, context)

    assert (reading.meaning, reading.hint) == (Meaning.NEEDS_READING, "echo")


@pytest.mark.parametrize(
    ("sent_on", "hint"),
    [(date(2027, 3, 12), "echo"), (date(2027, 3, 11), "quantity"), (date(2027, 3, 20), "quantity")],
    ids=["seven days old", "eight days old", "sent after it"],
)
def test_only_texts_of_the_last_week_make_an_echo(sent_on: date, hint: str) -> None:
    context = replace(K, sent=(SentText(text=DOSE_TEXT, sent_on=sent_on),))

    assert read_reply(DOSE_TEXT, context).hint == hint


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("Keep children away. Done? Reply", Meaning.NEEDS_READING),
        ("A3", Meaning.DONE),
        ("please stop these texts on plot A for water", Meaning.STOP),
    ],
    ids=["a short piece of it", "a code from it", "a STOP of mostly other words"],
)
def test_a_text_is_no_echo_for_sharing_a_few_words(text: str, meaning: Meaning) -> None:
    context = replace(K, sent=(SentText(text=DOSE_TEXT, sent_on=date(2027, 3, 18)),))

    reading = read_reply(text, context)

    assert reading.meaning is meaning
    assert reading.hint != "echo"


@pytest.mark.parametrize(
    ("text", "pauses"),
    [
        ("Don't stop", True),
        ("A3 acha", True),
        ("sitaki hii tena labda", True),
        ("I do not want this", True),
        ("No quiero mensajes", True),
        ("mwen pa vle sa", True),
        ("A3 but only half of it", False),
        ("Habari za leo", False),
        ("", False),
    ],
)
def test_a_stop_word_or_refusal_pauses_texts_until_it_is_read(text: str, *, pauses: bool) -> None:
    assert holds_stop_or_refusal(text) is pauses


@pytest.mark.parametrize(
    ("text", "language", "only_no"),
    [
        ("NO", "en", True),
        ("hapana, asante", "sw", True),
        ("A3 NO", "en", False),
        ("NO?", "en", False),
        ("yes", "en", False),
        ("no", "pt", False),
        ("", "en", False),
    ],
)
def test_a_bare_denial_is_known_apart_from_any_dose(
    text: str, language: str, *, only_no: bool
) -> None:
    assert says_only_no(text, language) is only_no
