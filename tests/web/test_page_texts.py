"""What the pages say is translated whole: nothing is missing, nothing is left over."""

from io import StringIO
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from tests.fresh import TEXTS
from tests.web.page_texts import Text, code_texts, marks, shown_texts, template_texts

FILES = sorted(TEXTS.glob("*/pages/*.po"))
LANGUAGES = sorted({file.parent.parent.name for file in FILES})


def catalogue(file: Path) -> Catalog:
    """Return a catalogue; a broken one is refused."""
    return read_po(StringIO(file.read_text(encoding="utf-8")), abort_invalid=True)


def messages(language: str) -> list[tuple[str, Message]]:
    """Return a language's entries with the file that each stands in."""
    return [
        (file.name, entry)
        for file in FILES
        if file.parent.parent.name == language
        for entry in catalogue(file)
        if entry.id
    ]


def text_of(entry: Message) -> Text:
    """Return the English sentence of an entry."""
    if isinstance(entry.id, str):
        return Text(one=entry.id)
    return Text(one=entry.id[0], many=entry.id[1])


def forms_of(entry: Message) -> list[str]:
    """Return what stands for a sentence, in each of its forms."""
    return [entry.string] if isinstance(entry.string, str) else list(entry.string or ())


def test_there_are_languages_and_sentences_to_look_at() -> None:
    assert "sw" in LANGUAGES
    assert Text(one="Skip to the content") in shown_texts()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_sentence_of_the_pages_is_translated(language: str) -> None:
    known = {text_of(entry) for _, entry in messages(language) if not entry.fuzzy}

    assert sorted(text.one for text in shown_texts() - known) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_translated_that_no_page_says(language: str) -> None:
    said = shown_texts()

    left = [(name, entry.id) for name, entry in messages(language) if text_of(entry) not in said]

    assert left == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_form_of_a_translation_is_blank(language: str) -> None:
    blank = [(name, entry.id) for name, entry in messages(language) if not all(forms_of(entry))]

    assert blank == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_sentence_is_translated_the_same_wherever_it_stands(language: str) -> None:
    found: dict[Text, set[tuple[str, ...]]] = {}
    for _, entry in messages(language):
        found.setdefault(text_of(entry), set()).add(tuple(forms_of(entry)))

    assert {text.one: forms for text, forms in found.items() if len(forms) > 1} == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_has_the_marks_of_its_sentence(language: str) -> None:
    """A count may be left out where the form is for one."""
    other = []
    for name, entry in messages(language):
        text = text_of(entry)
        wanted = marks(text.one) | marks(text.many or "")
        spare = {"%(num)d"} if text.many is not None else set()
        other += [
            (name, form) for form in forms_of(entry) if not wanted - spare <= marks(form) <= wanted
        ]

    assert other == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: f"{file.parent.parent.name} {file.name}")
def test_a_catalogue_says_how_it_counts_and_who_has_not_read_it_yet(file: Path) -> None:
    assert catalogue(file).num_plurals == 2
    assert file.read_text(encoding="utf-8").startswith("# The coordinator's pages. ")


def test_a_sentence_of_the_code_takes_its_values_as_words() -> None:
    wrong = [
        text.one
        for text in shown_texts()
        if text.many is None and any(not mark.endswith("s") for mark in marks(text.one))
    ]

    assert wrong == []


def test_sentences_of_templates_are_found_with_their_plurals(tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "a.html").write_text(
        '{% extends "b.html" %}<a title="{{ _(\'Older\') }}">{{ _("%(n)s L left.", n=4) }}</a>'
        '{{ ngettext("%(num)d can", "%(num)d cans", 2) }}{% trans %}Set apart{% endtrans %}'
    )

    assert set(template_texts(tmp_path)) == {
        Text(one="Older"),
        Text(one="%(n)s L left."),
        Text(one="%(num)d can", many="%(num)d cans"),
        Text(one="Set apart"),
    }


def test_sentences_of_code_are_found() -> None:
    source = 'x = {"a": sentence("One " "line.")}\nform.refuse("b", sentence("To %(x)s.", x=1))\n'

    assert set(code_texts(source)) == {Text(one="One line."), Text(one="To %(x)s.")}


@pytest.mark.parametrize("source", ["sentence(words)", 'sentence(f"{x} L")', 'sentence("a" + b)'])
def test_a_sentence_that_is_put_together_is_refused(source: str) -> None:
    with pytest.raises(ValueError, match="line 1: write the sentence out"):
        list(code_texts(source))


def test_marks_are_told_from_percent_signs() -> None:
    assert marks("%(day)s: 50%% of %(num)d") == {"%(day)s", "%(num)d"}


@pytest.mark.parametrize("text", ["50% of it", "100%", "%(day)"])
def test_a_percent_sign_alone_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write %% for a percent sign"):
        marks(text)
