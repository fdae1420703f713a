"""A day as people type it: day, month, year. Pure.

Taken: `27 3 2027`, `27/3/2027`, `27-3-2027`, `27.3.2027`, `27032027`, `2027-03-27` and
`27 March 2027` with the month in the page's language. A year has four digits.
"""

import re
from datetime import date
from functools import cache

from babel import Locale
from babel.dates import get_month_names

_FIGURES = re.compile(r"([0-9]{1,2})[ /.\-]+([0-9]{1,2})[ /.\-]+([0-9]{4})")
_RUN_TOGETHER = re.compile(r"([0-9]{2})([0-9]{2})([0-9]{4})")
_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_NAMED = re.compile(r"([0-9]{1,2})[ .]+([^\W\d_]+)\.?[ ,]+([0-9]{4})")
_SHORTEST_NAME = 3


def read_day(typed: str, locale: Locale) -> date | None:
    """Return the day, or None where the text does not name one surely."""
    text = " ".join(typed.split())
    for pattern in (_FIGURES, _RUN_TOGETHER):
        found = pattern.fullmatch(text)
        if found:
            day, month, year = found.groups()
            return _day(year, month, day)
    found = _ISO.fullmatch(text)
    if found:
        year, month, day = found.groups()
        return _day(year, month, day)
    found = _NAMED.fullmatch(text)
    if not found:
        return None
    day, name, year = found.groups()
    number = _month(name.casefold(), locale)
    return None if number is None else _day(year, str(number), day)


def _day(year: str, month: str, day: str) -> date | None:
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None


def _month(name: str, locale: Locale) -> int | None:
    numbers = {
        number
        for full, number in _months(locale)
        if full == name or (len(name) >= _SHORTEST_NAME and full.startswith(name))
    }
    return numbers.pop() if len(numbers) == 1 else None


@cache
def _months(locale: Locale) -> frozenset[tuple[str, int]]:
    names = {
        (name.casefold().rstrip("."), number)
        for width in ("wide", "abbreviated")
        for number, name in get_month_names(width, locale=locale).items()
    }
    return frozenset(names)
