"""How many days back a grower means; no answer is ever guessed."""

import re
from datetime import date

# A report older than this is a memory, not a record (common practice, no source).
LONGEST_DAYS_AGO = 14

_FIELDS = re.compile(r"(\d{1,4})([/.-])(\d{1,2})(?:\2(\d{1,4}))?")


def weekday_days_ago(weekday: int, received_on: date) -> int | None:
    """Return the days since the latest such weekday, Monday being 0.

    None if it is the very weekday of the receipt: today and a week ago are equally likely.
    """
    days = (received_on.weekday() - weekday) % 7
    return days or None


def figure_days_ago(figure: str, received_on: date, order: str) -> int | None:
    """Return the days from a written date to the receipt, or None if it is not a usable date.

    `order` is "dm" or "md". The other order is tried only if the first cannot be a calendar
    day. A date without its year must be written with `/`, since 1.5 may be litres and 2-3 a
    range; its year is the one that makes it the latest past day.
    """
    found = _FIELDS.fullmatch(figure)
    if found is None:
        return None
    first, mark, second, third = found.groups()
    if third is None:
        return _without_year(first, second, received_on, order) if mark == "/" else None
    if len(first) == len("2027"):
        return _in_window(_day(int(first), int(second), int(third)), received_on)
    if len(third) not in {len("27"), len("2027")}:
        return None
    year = int(third) if len(third) == len("2027") else 2000 + int(third)
    for day, month in _orders(first, second, order):
        if (written_on := _day(year, month, day)) is not None:
            return _in_window(written_on, received_on)
    return None


def _without_year(first: str, second: str, received_on: date, order: str) -> int | None:
    for day, month in _orders(first, second, order):
        in_years = (_day(received_on.year - back, month, day) for back in (0, 1))
        written = [written_on for written_on in in_years if written_on is not None]
        if written:
            past = [written_on for written_on in written if written_on <= received_on]
            return _in_window(max(past, default=None), received_on)
    return None


def _orders(first: str, second: str, order: str) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return (day, month) in the phone's order and then in the other."""
    day_first, month_first = (int(first), int(second)), (int(second), int(first))
    return (day_first, month_first) if order == "dm" else (month_first, day_first)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _in_window(written_on: date | None, received_on: date) -> int | None:
    if written_on is None:
        return None
    days = (received_on - written_on).days
    return days if 0 <= days <= LONGEST_DAYS_AGO else None
