"""One language: its texts, its word lists, and what its file says of itself.

A text is looked up by its name, like `dose.shared`. An entry marked fuzzy counts as missing.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from io import StringIO
from pathlib import Path
from string import Template
from typing import TypeVar

from babel import Locale, UnknownLocaleError
from babel.messages.pofile import PoFileError, read_po

from gateway_adapters.contract import Encoding
from gateway_adapters.gsm7 import fold
from service.errors import SettingsError
from service.messages.words import Words, read_words

HEADER_LINE = re.compile(r'^"([\w-]+): *(.*?)\\n"$', re.MULTILINE)

Header = TypeVar("Header")


class Review(StrEnum):
    """Who has read the texts, shown beside the language."""

    SOURCE = "source"
    DRAFT = "draft"  # written without a native speaker
    RULES_PASSED = "rules-passed"  # automatic checks only
    READ = "read"  # read by native speakers
    FIELD = "field"  # growers told us in their words what to do


class CatalogueError(SettingsError):
    """The texts cannot be used; the sentence lists every fault found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """The texts of one language. `locale` prints its days and numbers."""

    code: str
    locale: Locale
    review: Review
    encoding: Encoding
    texts: Mapping[str, str]
    words: Words

    def filled(self, text_id: str, fields: Mapping[str, str]) -> str:
        """Return a text with its fields filled in, folded to letters that every phone shows.

        Raises:
            KeyError: this language lacks the text, or a field is missing.

        """
        return fold(_ready(self.texts[text_id]).format_map(fields))

    def named(self, prefix: str) -> dict[str, str]:
        """Return the texts whose name starts so, like all of `crop.`, by their full name."""
        return {name: text for name, text in self.texts.items() if name.startswith(prefix)}


@cache  # as many as there are texts
def _ready(text: str) -> str:
    """Return a template as a format, which is filled far faster.

    Raises:
        ValueError: a dollar sign stands alone; write two of them.
    """
    parts: list[str] = []
    after = 0
    for found in Template.pattern.finditer(text):
        name = found["named"] or found["braced"]
        if name is None and found["escaped"] is None:
            raise ValueError(f"a dollar sign stands alone at {found.start()}")
        parts.append(_plain(text[after : found.start()]))
        parts.append("$" if name is None else f"{{{name}}}")
        after = found.end()
    return "".join([*parts, _plain(text[after:])])


def _plain(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


def read_language(folder: Path) -> Language:
    """Return the language of a folder that holds `texts.po` and, if it has any, `words.toml`.

    Raises:
        CatalogueError: a file cannot be read, or its headers are wrong; every fault is listed.

    """
    code, words_path = folder.name, folder / "words.toml"
    try:
        written = (folder / "texts.po").read_text(encoding="utf-8")
        entries = read_po(StringIO(written), abort_invalid=True)
        words = read_words(words_path) if words_path.exists() else Words()
    except (OSError, PoFileError, ValueError) as fault:
        raise CatalogueError([f"{code}: the files cannot be read: {fault}."]) from fault
    headers = dict(HEADER_LINE.findall(written))  # Babel keeps only the headers that it knows
    locale = _header(headers, "Language", Locale.parse)
    review = _header(headers, "X-Review", Review)
    encoding = _header(headers, "X-Encoding", Encoding)
    if locale is None or review is None or encoding is None:
        faults = [
            f"{code}: the header {name} must be {expected}."
            for name, value, expected in (
                ("Language", locale, "a locale that Babel knows, like sw_TZ"),
                ("X-Review", review, f"one of {', '.join(Review)}"),
                ("X-Encoding", encoding, f"one of {', '.join(Encoding)}"),
            )
            if value is None
        ]
        raise CatalogueError(faults)
    texts = {
        str(entry.id): entry.string
        for entry in entries
        if entry.id and isinstance(entry.string, str) and entry.string and not entry.fuzzy
    }
    return Language(
        code=code, locale=locale, review=review, encoding=encoding, texts=texts, words=words
    )


def _header(headers: Mapping[str, str], name: str, read: Callable[[str], Header]) -> Header | None:
    try:
        return read(headers.get(name, ""))
    except (ValueError, UnknownLocaleError):
        return None
