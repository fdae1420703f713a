"""A page's language: its sentences, and how it writes days, hours and numbers.

English stands in the templates and the code; another language is a folder of catalogues,
`locales/<code>/pages/*.po`. A sentence that a language lacks is shown in English.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from io import StringIO
from pathlib import Path
from zoneinfo import ZoneInfo

from babel import Locale
from babel.dates import format_date, format_datetime
from babel.messages.pofile import PoFileError, read_po
from babel.numbers import format_decimal

from service.errors import SettingsError
from service.web.sentence import Sentence

SOURCE = "en"
DAY = "EEEE d MMMM y"
SHORT_DAY = "EEE d MMM"
MOMENT = "EEE d MMM HH:mm"
Plural = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """One language of the pages."""

    code: str
    locale: Locale
    singles: Mapping[str, str]
    plurals: Mapping[Plural, tuple[str, ...]]

    def gettext(self, text: str) -> str:
        """Return a sentence in this language, its marks not filled in."""
        return self.singles.get(text, text)

    def ngettext(self, one: str, many: str, count: int) -> str:
        """Return the form of a sentence that goes with a count, its marks not filled in."""
        forms = self.plurals.get((one, many))
        if forms is None:
            return one if count == 1 else many
        return forms[0] if count == 1 else forms[-1]

    def say(self, said: Sentence) -> str:
        """Return a sentence in this language with its values; days and numbers as people write."""
        values = {name: self.written(value) for name, value in said.values.items()}
        return self.gettext(said.text) % values if values else self.gettext(said.text)

    def written(self, value: object) -> str:
        """Return a value as this language writes it."""
        match value:
            case Sentence():
                return self.say(value)
            case datetime():
                raise TypeError("an instant needs a zone; put it in words before")
            case date():
                return self.day(value)
            case bool():
                raise TypeError("say it in words")
            case int() | float():
                return self.number(value)
            case _:
                return str(value)

    def day(self, on: date) -> str:
        """Return a day in full, like Saturday 27 March 2027."""
        return format_date(on, DAY, locale=self.locale)

    def short_day(self, on: date) -> str:
        """Return a day without its year, like Sat 27 Mar."""
        return format_date(on, SHORT_DAY, locale=self.locale)

    def moment(self, at: datetime, zone: ZoneInfo) -> str:
        """Return an instant in local time, like Sat 27 Mar 18:00."""
        return format_datetime(at, MOMENT, tzinfo=zone, locale=self.locale)

    def number(self, value: float) -> str:
        """Return a number with at most two decimals."""
        return format_decimal(value, format="#,##0.##", locale=self.locale)


def load_tongues(folder: Path) -> dict[str, Tongue]:
    """Return the languages of the pages by code, English among them.

    Raises:
        SettingsError: a catalogue cannot be read; every one is listed.
    """
    faults: list[str] = []
    codes = {path.parent.name for path in folder.glob("*/pages")} | {SOURCE}
    tongues = {code: _tongue(folder / code, faults) for code in sorted(codes)}
    if faults:
        raise SettingsError(faults)
    return tongues


def _tongue(folder: Path, faults: list[str]) -> Tongue:
    singles: dict[str, str] = {}
    plurals: dict[Plural, tuple[str, ...]] = {}
    for path in sorted((folder / "pages").glob("*.po")):
        try:
            entries = read_po(StringIO(path.read_text(encoding="utf-8")), abort_invalid=True)
        except (OSError, PoFileError, ValueError) as fault:
            faults.append(f"{folder.name}, {path.name}: the pages' texts cannot be read: {fault}.")
            continue
        for entry in entries:
            if not entry.id or entry.fuzzy:
                continue
            if isinstance(entry.id, str) and isinstance(entry.string, str) and entry.string:
                singles[entry.id] = entry.string
            elif (
                not isinstance(entry.id, str)
                and isinstance(entry.string, tuple)
                and all(entry.string)
            ):
                plurals[entry.id[0], entry.id[1]] = entry.string
    return Tongue(
        code=folder.name, locale=Locale.parse(folder.name), singles=singles, plurals=plurals
    )
