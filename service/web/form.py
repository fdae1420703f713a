"""A form as it was sent: what was typed is kept, what is wrong is noted beside its field."""

import re
import unicodedata
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Self, TypeVar

from babel import Locale
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import BadRequest

from service.sign_in.secrets import new_token
from service.web.sentence import Sentence, sentence
from service.web.typed_day import read_day

FORM_KEY, RESUME = "form_key", "resume"
_OWN = ("csrf_token", FORM_KEY, RESUME)
_DECIMAL = re.compile(r"[0-9]{1,7}([.,][0-9]{1,6})?")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(,[0-9]{3})+")  # half the world reads it as parts
_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")
YES = "yes"

Choice = TypeVar("Choice", bound=StrEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """Reads the fields of a form; a field that cannot be read returns None and has a fault."""

    locale: Locale
    typed: Mapping[str, str] = field(default_factory=dict)
    faults: dict[str, Sentence] = field(default_factory=dict)
    key: str = field(default_factory=new_token)
    resumed: bool = False  # sent again after a sign-in: to be shown, not to be saved

    @classmethod
    def of(cls, sent: MultiDict[str, str], *, locale: Locale) -> Self:
        """Return the form that was sent.

        Raises:
            BadRequest: a field stands twice.
        """
        if any(len(values) > 1 for _, values in sent.lists()):
            raise BadRequest
        key = sent.get(FORM_KEY, "")
        return cls(
            locale=locale,
            typed={name: value.strip() for name, value in sent.items() if name not in _OWN},
            key=key if _KEY.fullmatch(key) else new_token(),
            resumed=sent.get(RESUME) == YES,
        )

    @property
    def sound(self) -> bool:
        """Say whether nothing is wrong so far."""
        return not self.faults

    def value(self, name: str) -> str:
        """Return what was typed, for showing it again."""
        return self.typed.get(name, "")

    def refuse(self, name: str, fault: Sentence) -> None:
        """Note what is wrong with a field; the first fault of a field stands."""
        self.faults.setdefault(name, fault)

    def text(self, name: str, *, most: int) -> str | None:
        """Return a filled field of one line, at most `most` characters."""
        found = self.text_or_blank(name, most=most)
        if found == "":
            self.refuse(name, sentence("Fill this in."))
        return found or None

    def text_or_blank(self, name: str, *, most: int) -> str | None:
        """Return a field of one line, which may be blank, at most `most` characters."""
        found = unicodedata.normalize("NFC", self.value(name))
        if any(unicodedata.category(character) == "Cc" for character in found):
            self.refuse(name, sentence("Write it on one line, without tabs or special keys."))
            return None
        if len(found) > most:
            self.refuse(name, sentence("Shorten this to %(most)s letters or fewer.", most=most))
            return None
        return found

    def day(self, name: str) -> date | None:
        """Return the day in a filled field."""
        if not self.value(name):
            self.refuse(name, sentence("Type the date like 27 March 2027 or 27/3/2027."))
            return None
        return self.day_or_blank(name)

    def day_or_blank(self, name: str) -> date | None:
        """Return the day in a field, None where it is blank."""
        if not self.value(name):
            return None
        found = read_day(self.value(name), self.locale)
        if found is None:
            self.refuse(name, sentence("Type the date like 27 March 2027 or 27/3/2027."))
        return found

    def number(self, name: str, *, least: float, most: float) -> float | None:
        """Return the number in a filled field, within a range; comma or point for parts."""
        if not self.value(name):
            self.refuse(
                name,
                sentence("Write a number from %(least)s to %(most)s.", least=least, most=most),
            )
            return None
        return self.number_or_blank(name, least=least, most=most)

    def number_or_blank(self, name: str, *, least: float, most: float) -> float | None:
        """Return the number in a field within a range, None where it is blank."""
        typed = self.value(name)
        if not typed:
            return None
        if _THOUSANDS.fullmatch(typed):
            self.refuse(name, sentence("Write it without a comma between thousands, like 2500."))
            return None
        found = float(typed.replace(",", ".")) if _DECIMAL.fullmatch(typed) else None
        if found is None or not least <= found <= most:
            self.refuse(
                name,
                sentence("Write a number from %(least)s to %(most)s.", least=least, most=most),
            )
            return None
        return found

    def whole_or_blank(self, name: str, *, least: int, most: int) -> int | None:
        """Return the whole number in a field within a range, None where it is blank."""
        found = self.number_or_blank(name, least=least, most=most)
        if found is None:
            return None
        if not found.is_integer():
            self.refuse(
                name,
                sentence(
                    "Write a whole number from %(least)s to %(most)s.", least=least, most=most
                ),
            )
            return None
        return int(found)

    def choice(self, name: str, members: type[Choice]) -> Choice | None:
        """Return the chosen member."""
        found = self.one_of(name, [member.value for member in members])
        return None if found is None else members(found)

    def choice_or_blank(self, name: str, members: type[Choice]) -> Choice | None:
        """Return the chosen member, None where nothing was chosen."""
        return self.choice(name, members) if self.value(name) else None

    def one_of(self, name: str, allowed: Collection[str]) -> str | None:
        """Return the chosen value, one of `allowed`."""
        found = self.value(name)
        if found in allowed:
            return found
        self.refuse(name, sentence("Choose one of this list."))
        return None

    def yes(self, name: str) -> bool:
        """Say whether a box was ticked."""
        return self.value(name) == YES
