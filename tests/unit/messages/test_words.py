"""A household's own word for the substance, and the word lists."""

from pathlib import Path

import pytest

from service.messages.catalogue import Catalogue
from service.messages.words import WordRefusedError, found_in, read_words


@pytest.mark.parametrize(
    ("typed", "clean"),
    [
        pytest.param("garden mix", "garden mix", id="two words"),
        pytest.param("  green   gold ", "green gold", id="blanks"),
        pytest.param("rutubisho", "rutubisho", id="Swahili"),
        pytest.param("s\u00e1bi\u00e3", "sàbia".replace("à", "a"), id="accents are folded"),
        pytest.param("mchanganyiko", "mchanganyiko", id="twelve letters"),
    ],
)
def test_a_harmless_word_is_taken(catalogue: Catalogue, typed: str, clean: str) -> None:
    assert catalogue.check_word(typed) == clean


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        pytest.param("tea", "word-swallowed", id="drink"),
        pytest.param("Green JUICE", "word-swallowed", id="drink beside another word"),
        pytest.param("chai", "word-swallowed", id="drink in the other language"),
        pytest.param("dawa", "word-swallowed", id="medicine"),
        pytest.param("maji", "word-swallowed", id="plain water"),
        pytest.param("supu", "word-swallowed", id="food"),
        pytest.param("Urine", "word-revealing", id="plain word"),
        pytest.param("mkojo", "word-revealing", id="plain word in the other language"),
        pytest.param("stop", "word-keyword", id="reply word"),
        pytest.param("mchanganyiko m", "word-long", id="thirteen letters and a blank"),
        pytest.param("A3", "word-letters", id="looks like a code"),
        pytest.param("$what", "word-letters", id="sign"),
        pytest.param("", "word-letters", id="nothing"),
        pytest.param("मल", "word-letters", id="letters that old phones lack"),
    ],
)
def test_a_word_that_could_harm_or_mislead_is_refused(
    catalogue: Catalogue, typed: str, code: str
) -> None:
    with pytest.raises(WordRefusedError) as refused:
        catalogue.check_word(typed)

    assert refused.value.code == code
    assert refused.value.sentence.startswith("Choose ")


def test_words_are_found_whole_in_any_case_and_as_phrases() -> None:
    assert found_in("Top-up NOW, not topple.", ["top up", "top", "now", "opp"]) == [
        "now",
        "top",
        "top up",
    ]


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        pytest.param("[drinks]\nwords = ['tea']\nsource = 'x'", "not known", id="unknown list"),
        pytest.param("[blame]\nwords = ['lazy']", "source", id="no source"),
        pytest.param("[blame]\nwords = ['lazy']\nsource = ''", "source", id="empty source"),
        pytest.param("[blame]\nwords = [' ']\nsource = 'x'", "not a word", id="blank word"),
        pytest.param("blame = 3", "source", id="no table"),
    ],
)
def test_a_faulty_word_list_is_refused(tmp_path: Path, written: str, fault: str) -> None:
    path = tmp_path / "words.toml"
    path.write_text(written, encoding="utf-8")

    with pytest.raises(ValueError, match=fault):
        read_words(path)
