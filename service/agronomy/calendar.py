"""Day arithmetic: the one place where days are added to a date.

A month is 30 days and six months are 183 days, everywhere; no month length is ever looked up.
"""

from datetime import date, timedelta

MONTH_DAYS = 30
HALF_YEAR_DAYS = 183


def add_days(day: date, days: int) -> date:
    """Return the date so many days later; a negative number counts back.

    Raises:
        OverflowError: the result lies outside the years 1 to 9999.
    """
    return day + timedelta(days=days)


def days_between(first: date, second: date) -> int:
    """Return the days from the first date to the second, negative if the second is earlier."""
    return (second - first).days
