"""The texts of every language, read once at the start and checked as a whole."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

from service.messages.filling import can_say
from service.messages.fitting import faults_of, missing_from
from service.messages.language import CatalogueError, Language, Review, read_language
from service.messages.words import check_word

SOURCE_LANGUAGE = "en"  # the language that all others are written from, and always complete


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """The languages by code. Build it with `load`, which checks every text."""

    languages: Mapping[str, Language]
    _chosen: dict[tuple[str, str, str], Language] = field(
        default_factory=dict[tuple[str, str, str], Language], init=False, repr=False, compare=False
    )

    @classmethod
    def load(cls, folder: Path, *, languages: Sequence[str] | None = None) -> Self:
        """Return the catalogue of a folder with one folder a language, `<code>/texts.po`.

        `languages` limits which are read; the source language always is. The entries' names are
        those of `kinds.TEXT_FIELDS` and `kinds.SMALL_TEXTS`, and `crop.<id>`.

        Raises:
            CatalogueError: a file or a text cannot be used; every fault of every language is
                listed.

        """
        codes = {path.parent.name for path in folder.glob("*/texts.po")}
        if languages is not None:
            codes = set(languages)
        faults: list[str] = []
        read: dict[str, Language] = {}
        for code in sorted(codes | {SOURCE_LANGUAGE}):
            try:
                read[code] = read_language(folder / code)
            except CatalogueError as unreadable:
                faults += unreadable.faults
        source = read.get(SOURCE_LANGUAGE)
        if source is not None:
            faults += _faults_of_all(read, source)
        if faults:
            raise CatalogueError(faults)
        return cls(languages=read)

    def language_for(self, name: str, *, language: str, fallback: str) -> Language:
        """Return the first language that has the whole text: wanted, fallback, or source.

        A text never mixes languages, so one that lacks a crop's name or a tip is passed over.
        """
        asked = (name, language, fallback)
        if asked not in self._chosen:  # asked for each text, and the texts stay as they are
            self._chosen[asked] = self._choose(name, language, fallback)
        return self._chosen[asked]

    def _choose(self, name: str, *codes: str) -> Language:
        crops = frozenset(self.languages[SOURCE_LANGUAGE].named("crop."))
        for code in codes:
            candidate = self.languages.get(code)
            if candidate is not None and can_say(candidate, name, crops=crops):
                return candidate
        return self.languages[SOURCE_LANGUAGE]

    def check_word(self, word: str) -> str:
        """Return a household's own word for the substance, cleaned, judged in every language.

        Raises:
            WordRefusedError: the word cannot be used; its sentence says why.

        """
        return check_word(word, [language.words for language in self.languages.values()])

    def crops(self) -> frozenset[str]:
        """Return the ids of the crops that have a short name."""
        names = self.languages[SOURCE_LANGUAGE].named("crop.")
        return frozenset(name.removeprefix("crop.") for name in names)


def _faults_of_all(languages: Mapping[str, Language], source: Language) -> list[str]:
    faults = [f"{source.code}, {name}: the text is missing." for name in missing_from(source)]
    if source.review is not Review.SOURCE:
        faults.append(f"{source.code}: the header X-Review must be {Review.SOURCE}.")
    if faults:
        return faults
    return [fault for language in languages.values() for fault in faults_of(language, source)]
