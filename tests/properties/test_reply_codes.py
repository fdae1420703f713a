"""Laws of the reply parser over made-up texts and phones."""

from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.inbound.codes import LETTERS
from service.inbound.normalise import normalise
from service.inbound.reply_codes import (
    Context,
    DoseRef,
    Item,
    Meaning,
    Question,
    Reading,
    holds_stop_or_refusal,
    read_reply,
)
from service.inbound.tokens import words_of
from service.inbound.words import languages
from tests.reply_vectors import OWN, REFERENCE, K, vectors

KNOWN_TEXTS = [vector.text for vector in vectors(REFERENCE) + vectors(OWN)]
PARTS = sorted({part for text in KNOWN_TEXTS for part in text.split()})
LETTER = st.sampled_from(sorted(letter.upper() for letter in LETTERS))
DOSE = st.builds(DoseRef, plot=LETTER, number=st.integers(1, 9))

# Texts that are likely to mean something: pieces of known texts in any order, and noise.
likely_texts = st.one_of(
    st.text(),
    st.sampled_from(KNOWN_TEXTS),
    st.lists(st.sampled_from(PARTS), max_size=6).map(" ".join),
    st.lists(st.sampled_from(PARTS), max_size=4).map("".join),
    st.text(alphabet="adgl oi0123456789/.-,?ADGJMPTW\n", max_size=12),
)


@st.composite
def contexts(draw: st.DrawFn) -> Context:
    """Draw a phone with any plots, open and done doses, language and question."""
    doses = draw(st.lists(DOSE, unique=True, max_size=8))
    plots = {dose.plot for dose in doses} | draw(st.sets(LETTER, max_size=2))
    parting = draw(st.integers(0, len(doses)))
    return replace(
        K,
        language=draw(st.sampled_from([*languages(), "xx"])),
        plots=tuple(sorted(plots)),
        open=tuple(doses[:parting]),
        done=tuple(doses[parting:]),
        cans=tuple(draw(st.sets(st.integers(1, 20), max_size=3))),
        shared=draw(st.booleans()),
        unknown=draw(st.booleans()),
        question=draw(st.sampled_from([None, *Question])),
        question_plot=draw(st.sampled_from([None, *sorted(plots)])),
    )


def dose_of(item: Item) -> DoseRef:
    """Return the dose an item names; it must name one."""
    assert item.plot is not None
    assert item.dose is not None
    return DoseRef(plot=item.plot, number=item.dose)


@given(text=likely_texts, context=contexts())
@example(text="9" * 5000, context=K)
@example(text="A" + "\u0301" * 500 + "3", context=K)
@example(text="\ud800A3", context=K)
@example(text="A3 0/0/0000", context=K)
@example(text="&+%@\u2044\u20ac", context=K)
def test_any_text_gets_a_reading(text: str, context: Context) -> None:
    reading = read_reply(text, context)

    assert (reading.meaning is Meaning.NEEDS_READING) <= bool(reading.hint)
    assert holds_stop_or_refusal(text) in {True, False}


@given(text=likely_texts, context=contexts())
def test_a_reading_names_only_what_this_phone_has(text: str, context: Context) -> None:
    reading = read_reply(text, context)

    for item in reading.items:
        assert item.plot is None or item.plot in context.plots
        assert item.can is None or item.can in context.cans
        assert 0 <= item.days_ago <= 14
    if reading.meaning in {Meaning.DONE, Meaning.NOT_DONE}:
        assert reading.items
        assert {dose_of(item) for item in reading.items} <= set(context.open)
    if reading.meaning is Meaning.AGAIN:
        assert {dose_of(item) for item in reading.items} <= set(context.done)


@given(text=likely_texts, context=contexts())
def test_a_stranger_records_nothing(text: str, context: Context) -> None:
    reading = read_reply(text, replace(context, unknown=True))

    assert reading.items == ()
    assert reading.meaning in {Meaning.NEEDS_READING, Meaning.STOP, Meaning.JOIN, Meaning.DROP}


@given(
    text=likely_texts,
    context=contexts(),
    phrase=st.sampled_from(["Missed call", "voicemail", "auto-reply", "salio lako"]),
)
@example(text="A3", context=K, phrase="Missed call")
@example(text="23", context=K, phrase="voicemail")
def test_a_machines_text_records_nothing(text: str, context: Context, phrase: str) -> None:
    spoken = read_reply(f"{text} {phrase}", context)
    named = read_reply(text, replace(context, sender="NETCALL"))

    assert (spoken.meaning in {Meaning.DROP, Meaning.NEEDS_READING}, spoken.items) == (True, ())
    assert named.meaning is Meaning.DROP


@given(
    parts=st.lists(
        st.tuples(
            st.sampled_from([("A", "3"), ("D", "2"), ("a", "3"), ("d", "2")]),
            st.sampled_from(["", " ", "  ", "-", ".", ":", "\u200f", "\u00a0"]),
        ),
        min_size=1,
        max_size=4,
    ),
    between=st.sampled_from([" ", "\n", ", ", ". ", "; ", " & ", " and ", " na ", "/", ""]),
    around=st.sampled_from(["", " ", "!", "...", "\u2764\ufe0f", "*", '"', " asante"]),
)
def test_blanks_points_and_case_never_change_a_code(
    parts: list[tuple[tuple[str, str], str]], between: str, around: str
) -> None:
    written = between.join(letter + gap + digit for (letter, digit), gap in parts)
    named = dict.fromkeys((letter.upper(), int(digit)) for (letter, digit), _ in parts)

    reading = read_reply(written + around, K)

    assert reading == Reading(
        meaning=Meaning.DONE, items=tuple(Item(plot=plot, dose=dose) for plot, dose in named)
    )


@pytest.mark.parametrize("zero", [0x30, 0x660, 0x6F0, 0x966, 0x9E6, 0xFF10, 0x1D7D8])
@given(days=st.integers(0, 20))
def test_digits_of_every_script_count_alike(zero: int, days: int) -> None:
    native = "".join(chr(zero + int(digit)) for digit in str(days))

    assert read_reply(f"A3 {native}", K) == read_reply(f"A3 {days}", K)


@given(text=st.text())
@example(text="\u1fb3\u0345A\u030a\u00b2\u24b6")
@example(text="a&b+c")
def test_writing_a_text_in_one_spelling_twice_changes_no_word(text: str) -> None:
    assert words_of(normalise(text)) == words_of(text)


@given(text=likely_texts, context=contexts())
def test_capitals_never_change_a_reading(text: str, context: Context) -> None:
    assert read_reply(normalise(text), context) == read_reply(text, context)
