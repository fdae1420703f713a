"""The month between the last dose and the harvest.

WHO 2006, vol. 4, and Eawag Compendium 2008: no urine within one month before harvest, taken as
30 days. A dose that may have been given counts as given.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import MONTH_DAYS, add_days


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseStanding:
    """What is known of one dose; `known_not_done` only where somebody said so."""

    number: int
    due_on: date
    closes_on: date
    given_on: date | None
    known_not_done: bool


def earliest_harvest_on(last_dose_on: date | None) -> date | None:
    """Return the first safe day to harvest; None where no dose counts."""
    return None if last_dose_on is None else add_days(last_dose_on, MONTH_DAYS)


def last_possible_on(doses: Iterable[DoseStanding], today: date) -> date | None:
    """Return the last day on which a dose was given or may have been given.

    A dose whose day has come and that nobody reported as not done counts as given on the last
    day of its window, even where that day is still ahead.
    """
    days = (_day_that_counts(dose, today) for dose in doses)
    return max((day for day in days if day is not None), default=None)


def _day_that_counts(dose: DoseStanding, today: date) -> date | None:
    if dose.given_on is not None:
        return dose.given_on
    if dose.known_not_done or dose.due_on > today:
        return None
    return dose.closes_on
