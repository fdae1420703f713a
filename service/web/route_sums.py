"""What the coming evenings will take of the month's segments, at most. Pure.

A reminder fits into one segment, the text of several doses into two (service/messages/kinds.py), so
that one segment for each dose and evening is never too few.
"""

from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from service.agronomy.calendar import add_days
from service.planning.planner import REPEAT_AFTER_DAYS
from service.planning.send_window import evening, local_day
from service.records.route_list import OpenDose

EVENINGS = 7
NEAR_PERCENT = 80  # project choice: of a ceiling; time is left to raise it


class Level(StrEnum):
    """How far the month's ceiling is used up."""

    FREE = "free"
    NEAR = "near"
    SPENT = "spent"


def level_of(spent: int, ceiling: int | None) -> Level:
    """Return how far a ceiling of segments is used up."""
    if ceiling is None or spent * 100 < ceiling * NEAR_PERCENT:
        return Level.FREE
    return Level.SPENT if spent >= ceiling else Level.NEAR


def next_evening(now: datetime, zone: ZoneInfo) -> date:
    """Return the day of the next evening on which a text may still leave."""
    today = local_day(now, zone)
    return today if now < evening(today, 0, zone).closes_at else add_days(today, 1)


def last_due(first: date) -> date:
    """Return the last day of a dose of which the evenings from the first one on may tell."""
    return add_days(first, EVENINGS)


def most_segments(
    doses: Iterable[OpenDose], first: date, *, gone: Collection[int]
) -> Mapping[date, int]:
    """Return for each of the coming evenings how many segments its reminders take at most.

    Args:
        doses: those that a text may tell of.
        first: the first of the evenings.
        gone: the doses whose text of the first evening has left.
    """
    found = {add_days(first, past): 0 for past in range(EVENINGS)}
    for dose in doses:
        for day in _evenings_of(dose, first):
            if day in found and not (day == first and dose.dose_id in gone):
                found[day] += 1
    return found


def _evenings_of(dose: OpenDose, first: date) -> set[date]:
    before = add_days(dose.due_on, -1)
    again = add_days(dose.due_on, REPEAT_AFTER_DAYS - 1)
    found = {before}
    if again < dose.closes_on:
        found.add(again)
    if before < first < dose.closes_on and not dose.told:
        found.add(first)  # its can became ready late: it is told of on any evening of its window
    return found
