"""The texts of the menu's lines in every language, read and checked once at the start.

They are the entries of `locales/<code>/ussd.po`. A screen speaks one language: one whose entries
are not complete is passed over.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from string import Template

from babel.messages.pofile import PoFileError, read_po

from gateway_adapters.contract import Encoding
from gateway_adapters.gsm7 import fold
from gateway_adapters.segments import split
from service.messages.catalogue import SOURCE_LANGUAGE, Catalogue
from service.messages.language import CatalogueError, Language
from service.messages.printing import Printer, crop, day, whole, words
from service.messages.words import found_in
from service.ussd.facts import Line
from service.ussd.line_names import LINE_FIELDS

_SEPTET_BITS, _OCTET_BITS, _OCTETS_A_UNIT = 7, 8, 2

_PRINTERS: Mapping[str, Printer] = {
    **dict.fromkeys(("n", "days"), whole),
    **dict.fromkeys(("group", "label", "plot", "code", "phone", "words"), words),
    "crop": crop,
    "day": day,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MenuLanguage:
    """One language of the menu: its lines, and the language that prints their values."""

    language: Language
    lines: Mapping[str, str]

    def printed(self, line: Line) -> str:
        """Return a line as it is shown, in letters that every phone shows."""
        fields = {name: self._printed(name, line.fields[name]) for name in LINE_FIELDS[line.name]}
        return fold(Template(self.lines[line.name]).substitute(fields))

    def _printed(self, name: str, value: object) -> str:
        return (
            self.printed(value)
            if isinstance(value, Line)
            else _PRINTERS[name](self.language, value)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class MenuTexts:
    """The languages of the menu by code; the source language is always among them."""

    languages: Mapping[str, MenuLanguage]

    def first_of(self, *codes: str) -> MenuLanguage:
        """Return the first of these languages that the menu has, else the source language."""
        known = (self.languages[code] for code in codes if code in self.languages)
        return next(known, self.languages[SOURCE_LANGUAGE])


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """How a route's screens are written to one phone; `most` counts GSM-7 septets."""

    words: MenuLanguage
    most: int

    def text(self, lines: Sequence[Line]) -> str:
        """Return lines as one screen."""
        return "\n".join(self.words.printed(line) for line in lines)

    def fits(self, lines: Sequence[Line]) -> bool:
        """Say whether lines fit on one screen."""
        return fits(self.text(lines), self.most)


def fits(text: str, most: int) -> bool:
    """Say whether a screen can carry a text; `most` is its room in GSM-7 septets.

    Outside that alphabet each letter takes two octets of the same room (3GPP TS 23.038), so 182
    septets are 80 of them.
    """
    segments = split(text)
    if segments.encoding is Encoding.GSM7:
        return segments.length <= most
    octets = -(-most * _SEPTET_BITS // _OCTET_BITS)
    return segments.length <= octets // _OCTETS_A_UNIT


def load_menu(folder: Path, catalogue: Catalogue) -> MenuTexts:
    """Return the menu's texts of a folder, in the languages that the catalogue has.

    Raises:
        CatalogueError: a file cannot be read, or a line cannot be used; every fault is listed.
    """
    faults: list[str] = []
    read: dict[str, MenuLanguage] = {}
    for code, language in catalogue.languages.items():
        path = folder / code / "ussd.po"
        if not path.exists():
            continue
        try:
            lines = _lines_in(path)
        except (OSError, PoFileError, ValueError) as fault:
            faults.append(f"{code}: the menu's texts cannot be read: {fault}.")
            continue
        faults += _faults_of(language, lines)
        if LINE_FIELDS.keys() <= lines.keys() and _names_every_crop(language, catalogue):
            read[code] = MenuLanguage(language=language, lines=lines)
    if not faults and SOURCE_LANGUAGE not in read:
        faults.append(f"{SOURCE_LANGUAGE}: texts of the menu are missing in ussd.po.")
    if faults:
        raise CatalogueError(faults)
    return MenuTexts(languages=read)


def _lines_in(path: Path) -> dict[str, str]:
    entries = read_po(StringIO(path.read_text(encoding="utf-8")), abort_invalid=True)
    return {
        str(entry.id): entry.string
        for entry in entries
        if entry.id and isinstance(entry.string, str) and entry.string and not entry.fuzzy
    }


def _names_every_crop(language: Language, catalogue: Catalogue) -> bool:
    return {f"crop.{name}" for name in catalogue.crops()} <= language.texts.keys()


def _faults_of(language: Language, lines: Mapping[str, str]) -> Iterator[str]:
    for name, text in sorted(lines.items()):
        for fault in _faults_of_line(language, name, text):
            yield f"{language.code}, menu, {name}: {fault}"


def _faults_of_line(language: Language, name: str, text: str) -> Iterator[str]:
    if name not in LINE_FIELDS:
        yield "there is no such text; take it out or correct its name."
        return
    template = Template(text)
    if not template.is_valid() or "$$" in text:
        yield "a $ stands without a field's name; write the name or leave the $ out."
        return
    named = frozenset(template.get_identifiers())
    if named != LINE_FIELDS[name]:
        yield f"its fields must be {', '.join(sorted(LINE_FIELDS[name])) or 'none'}."
    bare = fold(template.safe_substitute(dict.fromkeys(named, "1")))
    if split(bare).encoding is not language.encoding and language.encoding is Encoding.GSM7:
        yield f"a letter is outside {language.encoding}."
    if found := found_in(bare, language.words.never_said()):
        yield f"it says {', '.join(found)}, which no text may say; write it another way."
