"""The day a dose had in the plan before it was given; it tells a late dose from one on time. Pure.

A dose that was given keeps the day it was given on, so the day it had is computed again.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import crop
from service.agronomy.dose_days import DayRules, pattern_days, place_doses
from service.agronomy.rules import rules


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What became known of a planting; `emerged_on` is None while it is assumed."""

    crop: str
    planted_on: date
    emerged_on: date | None
    given: Mapping[int, date]  # dose number to day
    holds: Sequence[tuple[date, date]]  # both ends included
    after_emergence_days: Sequence[int] = field(
        default_factory=lambda: rules().after_emergence_days
    )


def usual_day(course: Course, number: int) -> date:
    """Return the day that a dose had by its calendar, the holds and the doses given before it."""
    earlier = {other: on for other, on in course.given.items() if other < number}
    slots = place_doses(
        DayRules(
            pattern={number: _calendar_day(course, number)},
            fixed=earlier,
            given_on=tuple(earlier.values()),
            dropped={},
            holds=course.holds,
            cutoff_on=date.max,
        )
    )
    return slots[-1].on


def is_late(course: Course, number: int) -> bool:
    """Say whether a dose was given after its days had passed."""
    given_on, window_days = course.given[number], rules().window_days
    if days_between(_calendar_day(course, number), given_on) <= window_days:
        return False  # a day only ever moves to a later one, so most doses need no second look
    return days_between(usual_day(course, number), given_on) > window_days


def _calendar_day(course: Course, number: int) -> date:
    assumed_on = add_days(course.planted_on, crop(course.crop).emergence_days)
    up_on = max(course.planted_on, course.emerged_on or assumed_on)
    days = course.after_emergence_days
    return pattern_days(course.planted_on, up_on, after_emergence_days=days)[number]
