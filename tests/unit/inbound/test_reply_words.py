"""The word lists themselves: nothing clashes, and STOP is heard whatever the household speaks."""

import tomllib
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from service.inbound import words
from service.inbound.reply_codes import Meaning, read_reply
from service.inbound.words import ACTS, ANSWERS, entries_of, keywords, languages, lexicon
from tests.reply_vectors import K, refs

FOLDER = Path(words.__file__).with_name("languages")
STOP_WORDS = sorted({word for language in languages() for word in keywords(language)["stop"]})
ONE_DOSE = replace(K, open=refs("A3"), done=())


@pytest.mark.parametrize("language", languages())
def test_no_two_keywords_of_a_language_clash(language: str) -> None:
    lists = keywords(language)

    clashes = {
        (one, other): lists[one] & lists[other]
        for one, other in combinations((*ACTS, *ANSWERS), 2)
        if lists[one] & lists[other]
    }

    assert clashes == {}


def test_a_stop_word_is_no_other_keyword_in_any_language() -> None:
    clashes = {
        (language, role, word)
        for language in languages()
        for role in (*ACTS, *ANSWERS)
        for word in keywords(language)[role]
        if role != "stop" and word in STOP_WORDS
    }

    assert clashes == set()


@pytest.mark.parametrize("language", languages())
def test_a_stop_word_of_every_language_stops_everywhere(language: str) -> None:
    context = replace(K, language=language)

    meanings = {word: read_reply(word.upper(), context).meaning for word in STOP_WORDS}

    assert meanings == dict.fromkeys(STOP_WORDS, Meaning.STOP)


@pytest.mark.parametrize("language", languages())
def test_every_language_can_stop_say_yes_and_say_no(language: str) -> None:
    lists = keywords(language)

    assert lists["stop"]
    assert lists["yes"]
    assert lists["no"]


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize(
    ("act", "meaning"),
    [
        ("up", Meaning.UP),
        ("sown", Meaning.SOWN),
        ("harvest", Meaning.HARVEST),
        ("rain", Meaning.RAIN),
        ("burn", Meaning.BURN),
        ("why", Meaning.WHY),
    ],
)
def test_a_keyword_about_a_plot_is_read_with_the_letter_first_or_last(
    language: str, act: str, meaning: Meaning
) -> None:
    context = replace(K, language=language)
    known = keywords(language)[act] | keywords("en")[act]

    for word in known:
        for text in (f"A {word}", f"{word} A"):
            reading = read_reply(text, context)
            assert reading.meaning is meaning, (text, reading.hint)
            assert reading.items[0].plot == "A"


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize(
    ("act", "meaning"),
    [("start", Meaning.START), ("help", Meaning.HELP), ("join", Meaning.JOIN)],
)
def test_a_request_is_read_alone(language: str, act: str, meaning: Meaning) -> None:
    context = replace(K, language=language)

    for word in keywords(language)[act] | keywords("en")[act]:
        assert read_reply(word.title(), context).meaning is meaning, word


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize(
    ("answer", "meaning"),
    [("yes", Meaning.DONE), ("done", Meaning.DONE), ("no", Meaning.NOT_DONE)],
)
def test_an_answer_is_read_behind_a_code_and_alone(
    language: str, answer: str, meaning: Meaning
) -> None:
    context = replace(ONE_DOSE, language=language)

    for word in keywords(language)[answer]:
        for text in (f"A3 {word}", word):
            assert read_reply(text, context).meaning is meaning, text


@pytest.mark.parametrize("language", languages())
def test_a_can_is_read_by_the_word_of_its_language(language: str) -> None:
    for word in keywords(language)["can"] | keywords("en")["can"]:
        reading = read_reply(f"{word}3", replace(K, language=language))

        assert (reading.meaning, reading.items[0].can) == (Meaning.SEALED, 3), word


def test_a_households_own_word_wins_over_the_english_one() -> None:
    assert lexicon("pt").entries["no",].role == "ordinary"
    assert lexicon("en").entries["no",].role == "no"


def test_a_language_without_a_list_gets_english() -> None:
    assert lexicon("xx") == lexicon("en")
    assert keywords("xx")["stop"] == frozenset()
    assert keywords("sw_TZ") == keywords("sw")


@pytest.mark.parametrize("file", sorted(FOLDER.glob("*.toml")), ids=lambda file: file.stem)
def test_every_list_says_where_it_comes_from(file: Path) -> None:
    table = tomllib.loads(file.read_text(encoding="utf-8"))

    assert table["source"]
    assert table["found"] in {"read", "memory"}
    assert "from memory" in table["source"] or file.stem == "en"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"stopp": ["halt"]}, r"\[xx\]: remove \['stopp'\]"),
        ({"no": ["ja"]}, r"\[xx\]: 'ja' stands in two lists"),
        ({"numbers": ["null", "ja"]}, r"\[xx\]: 'ja' stands in two lists"),
        ({"no": ["J\u00c1"]}, "stands in two lists"),
    ],
    ids=["unknown key", "yes and no", "yes and one", "alike without its accent"],
)
def test_a_faulty_word_list_stops_the_start(change: dict[str, list[str]], told: str) -> None:
    table = {"source": "made up", "found": "memory", "yes": ["ja"], **change}

    with pytest.raises(ValueError, match=told):
        entries_of("xx", table)


def test_a_word_list_without_its_source_stops_the_start() -> None:
    with pytest.raises(ValueError, match=r"add \['source'\]"):
        entries_of("xx", {"found": "memory", "yes": ["ja"]})
