"""Word lists of a language: what a text may name as a reply, and what it must never say.

The lists are rows of `locales/<code>/words.toml`, each with its source.
"""

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gateway_adapters.gsm7 import fold, is_gsm7, septet_count
from service.errors import RefusedError

WORD_SEPTETS = 12  # the room that every text keeps for the household's own word

LISTS = ("keywords", "swallowed", "revealing", "blame", "asking", "promise")


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The lists of one language, in small letters except the reply words."""

    keywords: frozenset[str] = frozenset()  # reply words that a text may ask for
    swallowed: frozenset[str] = frozenset()  # food, drink, medicine, plain water
    revealing: frozenset[str] = frozenset()  # say what the liquid is or where it comes from
    blame: frozenset[str] = frozenset()
    asking: frozenset[str] = frozenset()  # airtime, money, secrets
    promise: frozenset[str] = frozenset()  # yield or gain

    def never_said(self) -> frozenset[str]:
        """Return the words that no text may hold, the household's own word aside."""
        return self.revealing | self.blame | self.asking | self.promise


class WordRefusedError(RefusedError):
    """A household's own word for the substance cannot be used."""


def read_words(path: Path) -> Words:
    """Return the lists of a `words.toml`.

    Raises:
        ValueError: the file is not TOML, or a list is unknown, malformed or without a source.

    """
    rows: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
    lists: dict[str, frozenset[str]] = {}
    for name, row in rows.items():
        if name not in LISTS:
            raise ValueError(f"the list {name!r} is not known; use {', '.join(LISTS)}")
        if not (isinstance(row, dict) and set(row) == {"words", "source"} and row["source"]):
            raise ValueError(f"the list {name!r} needs `words` and a `source`, and nothing else")
        if not all(isinstance(word, str) and word.strip() for word in row["words"]):
            raise ValueError(f"the list {name!r} holds something that is not a word")
        lists[name] = frozenset(row["words"])
    return Words(**lists)


def found_in(text: str, words: Iterable[str]) -> list[str]:
    """Return which of the words or phrases stand in the text as whole words, in any case."""
    spread = " ".join(re.findall(r"\w+", text.casefold()))
    return sorted(word for word in words if f" {word.casefold()} " in f" {spread} ")


def check_word(word: str, lists: Iterable[Words]) -> str:
    """Return a household's own word for the substance, folded to letters that every phone shows.

    Someone may drink what a text calls tea, so no word for food, drink, medicine or plain water
    passes in any of the languages given.

    Raises:
        WordRefusedError: too long, not letters, dangerous, revealing, or a reply word.

    """
    clean = " ".join(fold(word).split())
    if not re.fullmatch(r"[^\W\d_]+(?:[ '-][^\W\d_]+)*", clean) or not is_gsm7(clean):
        raise WordRefusedError("word-letters", "Choose a word of plain letters, without digits.")
    if septet_count(clean) > WORD_SEPTETS:
        raise WordRefusedError("word-long", f"Choose a word of at most {WORD_SEPTETS} letters.")
    for words in lists:
        if found_in(clean, words.swallowed):
            raise WordRefusedError(
                "word-swallowed",
                "Choose another word: this one names a food, drink, medicine or water, "
                "and someone may swallow what is in the can.",
            )
        if found_in(clean, words.revealing):
            raise WordRefusedError(
                "word-revealing",
                "Choose another word, or the plain wording: this one says what it is.",
            )
        if found_in(clean, words.keywords):
            raise WordRefusedError(
                "word-keyword", "Choose another word: growers reply with this one."
            )
    return clean
