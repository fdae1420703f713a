"""The word lists: which words a language has, and what each says.

A household's own language comes first, English second. STOP words and refusals are known in every
language, whatever the household speaks.
"""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from service.inbound.tokens import words_of

# What a text may ask for or report by a keyword; each is a key of a language's file.
ACTS = ("up", "sown", "can", "harvest", "rain", "why", "burn", "start", "help", "join", "stop")
ANSWERS = ("yes", "done", "no")
_LISTS = frozenset({
    *ACTS, *ANSWERS, "not", "sealed", "refusal", "thanks", "filler", "and", "day", "ago", "later",
    "unit", "ordinary",
})  # fmt: skip
_COUNTED = {"numbers": "count", "weekdays": "weekday", "back": "back"}  # the place is the value
_PLAIN = frozenset({"source", "found"})
_KEYS = _LISTS | _COUNTED.keys() | _PLAIN

Phrase = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What a phrase says; `value` is a number, a weekday from Monday = 0, or days back."""

    role: str
    value: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lexicon:
    """The phrases that count for one household, with the words that occur in them."""

    entries: Mapping[Phrase, Entry]
    single: frozenset[str]
    longest: int

    def match(self, words: Sequence[str], at: int) -> tuple[int, Entry] | None:
        """Return the longest phrase that starts at a word, as its length and entry."""
        for length in range(min(self.longest, len(words) - at), 0, -1):
            entry = self.entries.get(tuple(words[at : at + length]))
            if entry is not None:
                return length, entry
        return None


def languages() -> tuple[str, ...]:
    """Return the codes of the languages that have a word list."""
    return tuple(_tables())


def keywords(language: str) -> Mapping[str, frozenset[str]]:
    """Return a language's own words for each act and answer, as they are compared.

    The keys are those of ACTS and ANSWERS; a language without a list has empty sets, and English
    counts for everyone.
    """
    entries = _tables().get(base_language(language), {})
    return {
        role: frozenset(" ".join(phrase) for phrase, entry in entries.items() if entry.role == role)
        for role in (*ACTS, *ANSWERS)
    }


def base_language(language: str) -> str:
    """Return the part of a locale that names its language: sw for sw_TZ."""
    return language.replace("-", "_").partition("_")[0].casefold()


@cache
def lexicon(language: str) -> Lexicon:
    """Return what counts in a household of this language; an unknown one gets English alone."""
    entries = {**_tables()["en"], **_tables().get(base_language(language), {})}
    return Lexicon(
        entries=entries,
        single=frozenset(phrase[0] for phrase in entries if len(phrase) == 1),
        longest=max(map(len, entries)),
    )


@cache
def phrases_everywhere(role: str) -> Mapping[Phrase, frozenset[str]]:
    """Return the phrases of a role in all languages, each with the languages that have it."""
    found: dict[Phrase, frozenset[str]] = {}
    for language, entries in _tables().items():
        for phrase, entry in entries.items():
            if entry.role == role:
                found[phrase] = found.get(phrase, frozenset()) | {language}
    return found


@cache
def machine_phrases() -> frozenset[Phrase]:
    """Return the phrases that only machines send."""
    table = _read(Path(__file__).with_name("machines.toml"))
    return frozenset(words_of(phrase) for phrase in table["phrases"])


@cache
def _tables() -> Mapping[str, Mapping[Phrase, Entry]]:
    files = sorted(Path(__file__).with_name("languages").glob("*.toml"))
    return {file.stem: entries_of(file.stem, _read(file)) for file in files}


def _read(file: Path) -> dict[str, Any]:
    return tomllib.loads(file.read_text(encoding="utf-8"))


def entries_of(language: str, table: Mapping[str, Any]) -> Mapping[Phrase, Entry]:
    """Return the phrases of a language's file.

    Raises:
        ValueError: A key is unknown or missing, or a phrase stands in two lists.
    """
    unknown, missing = table.keys() - _KEYS, _PLAIN - table.keys()
    if unknown or missing:
        raise ValueError(f"[{language}]: remove {sorted(unknown)}, add {sorted(missing)}.")
    entries: dict[Phrase, Entry] = {}
    for text, entry in _pairs(table):
        phrase = words_of(text)
        if entries.setdefault(phrase, entry) != entry:
            raise ValueError(f"[{language}]: {text!r} stands in two lists; keep one of them.")
    return entries


def _pairs(table: Mapping[str, Any]) -> list[tuple[str, Entry]]:
    pairs = [(text, Entry(role=role)) for role in _LISTS & table.keys() for text in table[role]]
    for key, role in _COUNTED.items():
        for at, texts in enumerate(table.get(key, ())):
            entry = Entry(role=role, value=at)
            pairs += [(text, entry) for text in ([texts] if isinstance(texts, str) else texts)]
    return pairs
