"""Laws of the readings that a person may choose from."""

from dataclasses import replace

from hypothesis import example, given
from hypothesis import strategies as st

from service.inbound.choices import choice_of, reading_of
from service.inbound.codes import LETTERS
from service.inbound.possible import possible_readings, written
from service.inbound.reply_codes import Context, DoseRef, Meaning, Question, read_reply
from service.inbound.words import languages
from tests.reply_vectors import OWN, REFERENCE, K, vectors

KEPT_CHARACTERS = 40  # of what was chosen, beside the text
KNOWN_TEXTS = [vector.text for vector in vectors(REFERENCE) + vectors(OWN)]
PARTS = sorted({part for text in KNOWN_TEXTS for part in text.split()})
LETTER = st.sampled_from(sorted(letter.upper() for letter in LETTERS))
DOSE = st.builds(DoseRef, plot=LETTER, number=st.integers(1, 9))

texts = st.one_of(
    st.text(),
    st.sampled_from(KNOWN_TEXTS),
    st.lists(st.sampled_from(PARTS), max_size=6).map(" ".join),
)


@st.composite
def contexts(draw: st.DrawFn) -> Context:
    """Draw a phone with any plots, open and done doses, cans, language and question."""
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
        doses=9,
        shared=draw(st.booleans()),
        question=draw(st.sampled_from([None, *Question])),
    )


@given(text=texts, context=contexts())
@example(text="9" * 5000, context=K)
@example(text="A3 0/0/0000", context=K)
@example(text="A3D2" * 100, context=K)
def test_each_reading_is_what_a_plain_code_says_and_the_phone_owns(
    text: str, context: Context
) -> None:
    plain = replace(context, language="en", question=None, shared=False)
    found = possible_readings(text, context)

    assert len(found) <= 7
    assert len(set(found)) == len(found)
    for reading in found:
        for item in reading.items:
            alone = replace(reading, items=(item,))
            assert read_reply(written(alone), plain) == alone
            assert item.plot in {*context.plots, None}
            assert item.can in {*context.cans, None}


@given(text=texts, context=contexts())
def test_each_reading_is_kept_beside_the_text_and_read_back(text: str, context: Context) -> None:
    for reading in possible_readings(text, context):
        assert len(choice_of(reading)) <= KEPT_CHARACTERS
        assert reading_of(choice_of(reading)) == reading


@given(text=texts, context=contexts())
def test_what_the_parser_is_sure_of_is_among_the_readings(text: str, context: Context) -> None:
    sure = read_reply(text, replace(context, question=None, shared=False))
    offered = possible_readings(text, context)
    told = sure.meaning in {Meaning.DONE, Meaning.NOT_DONE} and len(sure.items) == 1

    assert not told or sure in offered
