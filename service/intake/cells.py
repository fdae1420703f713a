"""One row's cells as values. A cell that cannot be read is noted, and the row is dropped."""

import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum
from typing import TypeVar

from gateway_adapters.gsm7 import is_gsm7, septet_count
from service.errors import ServiceError
from service.intake.faults import Faults
from service.intake.sheets import Row
from service.records.limits import CODE, LIMITS

FORMULA = ("=", "+", "@")
POWER_OF_TEN = re.compile(r"[0-9]+(?:[.,][0-9]+)?[eE][+-]?[0-9]+")
ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
DAY_COUNT = re.compile(r"[0-9]{5}(?:[.,][0-9]+)?")
DECIMAL = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,9})?")
CLOCK = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])")

Choice = TypeVar("Choice", bound=StrEnum)


@dataclass(slots=True)
class Cells:
    """Reads the cells of one row; after a fault the values are placeholders and `broken` is set."""

    row: Row
    faults: Faults
    broken: bool = False

    def refuse(self, column: str, sentence: str) -> None:
        """Note that a cell is wrong."""
        self.broken = True
        self.faults.add(self.row.file, self.row.number, column, sentence)

    def raw(self, column: str) -> str:
        """Return the cell, blank too; a formula or a second line is refused."""
        cell = self.row.cells[column]
        if cell.startswith(FORMULA):
            self.refuse(column, "The cell holds a formula or begins like one; type the value.")
            return ""
        return self._one_line(column, cell)

    def dialled(self, column: str) -> str:
        """Return a filled cell with a phone number, as it was typed."""
        cell = self._one_line(column, self.row.cells[column])
        if POWER_OF_TEN.fullmatch(cell):
            self.refuse(
                column,
                "A spreadsheet has turned this number into a power of ten; format the column as "
                "text and type the number again.",
            )
            return ""
        if len(cell) > LIMITS.characters["typed"]:
            self.refuse(column, "This is too long for a phone number; type one number.")
            return ""
        if not cell:
            self.refuse(column, "The cell is blank; fill it in.")
        return cell

    def filled(self, column: str) -> str:
        """Return a cell that may not be blank."""
        cell = self.raw(column)
        if not self.row.cells[column]:
            self.refuse(column, "The cell is blank; fill it in.")
        return cell

    def text(self, column: str, limit: str) -> str:
        """Return a filled cell of at most the characters that `limit` names."""
        cell = self.filled(column)
        if len(cell) > LIMITS.characters[limit]:
            self.refuse(column, f"Too long: at most {LIMITS.characters[limit]} characters.")
        return cell

    def sms_text(self, column: str, limit: str) -> str:
        """Return a filled cell for use inside a text: plain letters, counted in septets."""
        cell = self.filled(column)
        if not is_gsm7(cell):
            self.refuse(column, "Some letters are not on every phone; write it without them.")
        elif septet_count(cell) > LIMITS.characters[limit]:
            self.refuse(column, f"Too long: at most {LIMITS.characters[limit]} letters.")
        return cell

    def code(self, column: str) -> str:
        """Return a filled cell of letters, digits, points and dashes, without blanks."""
        cell = self.text(column, "code")
        if cell and not CODE.fullmatch(cell):
            self.refuse(column, "Write a short code of letters, digits and dashes, no blanks.")
        return cell

    def yes(self, column: str) -> bool:
        """Return True for `yes`, False for `no`."""
        return self._among(column, self.filled(column), ("yes", "no")) == "yes"

    def yes_or_blank(self, column: str) -> bool | None:
        """Return True for `yes`, False for `no`, None for a blank cell."""
        cell = self.raw(column)
        return self._among(column, cell, ("yes", "no")) == "yes" if cell else None

    def choice(self, column: str, members: type[Choice], *, blank: Choice | None = None) -> Choice:
        """Return the member that the cell names; a blank cell is `blank`, if that is given."""
        if blank is not None and not self.raw(column):
            return blank
        names = [member.value for member in members]
        return members(self._among(column, self.filled(column), names))

    def one_of(self, column: str, allowed: Iterable[str]) -> str:
        """Return the filled cell, one of `allowed`."""
        return self._among(column, self.filled(column), tuple(allowed))

    def number(self, column: str, *, blank: float | None = None) -> float:
        """Return the number within the column's limits; for a blank cell `blank` or the table's."""
        value = self.number_or_blank(column)
        limits = LIMITS.numbers[column]
        stand_in = limits.blank if blank is None else blank
        if value is None and stand_in is None:
            self.filled(column)
        return (limits.at_least if stand_in is None else stand_in) if value is None else value

    def whole(self, column: str) -> int:
        """Return the whole number within the column's limits."""
        return int(self.number(column))

    def number_or_blank(self, column: str) -> float | None:
        """Return the number within the column's limits, or None for a blank cell."""
        cell = self.raw(column)
        if not cell:
            return None
        limits = LIMITS.numbers[column]
        if not DECIMAL.fullmatch(cell):
            self.refuse(column, "This is not a number; write digits, with a point for parts.")
            return None
        value = float(cell)
        if limits.whole and not value.is_integer():
            self.refuse(column, "Write a whole number.")
        elif not limits.at_least <= value <= limits.at_most:
            self.refuse(column, f"Write a number from {limits.at_least:g} to {limits.at_most:g}.")
        return value

    def day(self, column: str) -> date:
        """Return the day in a filled cell."""
        if not self.filled(column):
            return date.min
        return self.day_or_blank(column) or date.min

    def day_or_blank(self, column: str) -> date | None:
        """Return the day, or None for a blank cell."""
        cell = self.raw(column)
        if not cell:
            return None
        if DAY_COUNT.fullmatch(cell):
            self.refuse(
                column,
                "A spreadsheet has turned this date into a number; format the column as text "
                "and type the date as 2027-03-15.",
            )
            return None
        try:
            if ISO_DAY.fullmatch(cell):
                return date.fromisoformat(cell)
        except ValueError:
            self.refuse(column, "There is no such day in the calendar; correct it.")
            return None
        self.refuse(column, "Write the date as year-month-day, such as 2027-03-15.")
        return None

    def minute(self, column: str, *, earliest: str, latest: str, blank: str) -> int:
        """Return minutes after local midnight of a time from `earliest` to `latest`."""
        cell = self.raw(column) or blank
        if not CLOCK.fullmatch(cell) or not earliest <= cell <= latest:
            self.refuse(column, f"Write a time from {earliest} to {latest}, such as {blank}.")
            return 0
        at = time.fromisoformat(cell)
        return at.hour * 60 + at.minute

    def checked(self, column: str, cell: str, check: Callable[[str], str]) -> str:
        """Return what `check` makes of the cell; its refusal becomes the fault."""
        try:
            return check(cell)
        except ServiceError as error:
            self.refuse(column, error.sentence)
            return ""

    def _among(self, column: str, cell: str, allowed: Iterable[str]) -> str:
        names = {name.casefold(): name for name in allowed}
        if cell.casefold() in names:
            return names[cell.casefold()]
        if cell:
            near = difflib.get_close_matches(cell.casefold(), names, n=1)
            advice = f"did you mean {names[near[0]]}?" if near else f"write {_listed(names)}."
            self.refuse(column, f"This is not one of the choices; {advice}")
        return next(iter(names.values()))

    def _one_line(self, column: str, cell: str) -> str:
        if any(unicodedata.category(character) == "Cc" for character in cell):
            self.refuse(column, "The cell holds a line break or a tab; write one line.")
        return cell


def _listed(names: dict[str, str]) -> str:
    return " or ".join(names.values())
