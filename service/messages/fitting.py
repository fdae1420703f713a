"""Check the texts of a language before any of them is sent."""

import re
from collections.abc import Iterator
from string import Template

from gateway_adapters.segments import split
from service.messages.kinds import KINDS, TEXT_FIELDS
from service.messages.language import Language
from service.messages.small_texts import SMALL_TEXTS
from service.messages.words import WORD_SEPTETS, found_in
from service.messages.worst import FIXED, worst_cases

SHORT_TEXTS = {"crop.": 12, "what.": WORD_SEPTETS, "tip.": 23}  # septets each may take

SHOUTED = re.compile(r"\b[A-Z]{2,}\b")  # reply words stand in capitals, and so does SMS
TOUCHING = re.compile(r"[\t\r\n]| {2}|^ | $")


def faults_of(language: Language, source: Language) -> list[str]:
    """Return every fault of a language's texts as a sentence; none means that they can be used.

    `source` is the language that the others were written from, and itself the first checked.
    """
    faults = [
        f"{language.code}, {name}: {fault}"
        for name, text in sorted(language.texts.items())
        for fault in _faults_of_text(language, source, name, text)
    ]
    # The longest forms can be printed only with sound texts.
    return faults or sorted(set(_faults_of_length(language, source)))


def missing_from(language: Language) -> list[str]:
    """Return the names of the texts that a complete language has and this one lacks."""
    return sorted((TEXT_FIELDS.keys() | SMALL_TEXTS.keys()) - language.texts.keys())


def _faults_of_text(language: Language, source: Language, name: str, text: str) -> Iterator[str]:
    fields = _expected_fields(name, source)
    if fields is None:
        yield "there is no such text; take it out or correct its name."
        return
    template = Template(text)
    if not template.is_valid() or "$$" in text:
        yield "a $ stands without a field's name; write the name or leave the $ out."
        return
    named = frozenset(template.get_identifiers())
    if named - fields:
        yield f"unknown field {', '.join(sorted(named - fields))}; take it out."
    if fields - named:
        yield f"missing field {', '.join(sorted(fields - named))}; put it in."
    if TOUCHING.search(text):
        yield "tabs, line breaks, double spaces and spaces at the ends are not allowed."
    if language.code != source.code and text == source.texts.get(name) and _has_words(text, name):
        yield "it equals the source text; translate it or leave it out."
    for start, room in SHORT_TEXTS.items():
        printed = template.safe_substitute({"n": FIXED["n"]})
        if name.startswith(start) and split(printed).length > room:
            yield f"it is longer than {room} letters; shorten it."
    yield from _forbidden(language, source, name, text)


def _forbidden(language: Language, source: Language, name: str, text: str) -> Iterator[str]:
    said = Template(text).safe_substitute(dict.fromkeys(Template(text).get_identifiers(), "_"))
    never = language.words.never_said()
    if name == "what.plain" or f"{name}.neutral" in TEXT_FIELDS:
        never -= language.words.revealing
    if name == "what.discreet":
        never |= language.words.swallowed | source.words.swallowed
    if found := found_in(said, never):
        yield f"it says {', '.join(found)}, which no text may say; write it another way."
    replies = language.words.keywords | source.words.keywords
    known = {part for reply in replies for part in reply.split()} | {"SMS"}
    if unknown := sorted(set(SHOUTED.findall(said)) - known):
        yield f"{', '.join(unknown)} is no reply word of this language; use one that is."


def _faults_of_length(language: Language, source: Language) -> Iterator[str]:
    crops = frozenset(source.named("crop."))
    for kind in KINDS.values():
        for case in worst_cases(language, kind, crops=crops):
            segments = split(case.text)
            if segments.encoding is not language.encoding:
                yield f"{language.code}, {case.name}: a letter is outside {language.encoding}."
            if len(segments.parts) > case.room:
                yield (
                    f"{language.code}, {case.name}: {segments.length} units at its longest do "
                    f"not fit into {case.room} segment(s); shorten it."
                )


def _expected_fields(name: str, source: Language) -> frozenset[str] | None:
    if name.startswith("crop."):
        return frozenset() if name in source.texts else None
    return TEXT_FIELDS.get(name, SMALL_TEXTS.get(name))


def _has_words(text: str, name: str) -> bool:
    # A crop may have the same name in two languages.
    bare = Template(text).safe_substitute(dict.fromkeys(Template(text).get_identifiers(), ""))
    return not name.startswith("crop.") and any(letter.isalpha() for letter in bare)
