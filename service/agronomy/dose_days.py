"""The day of each dose, or the reason why it is dropped.

Doses given or closed keep their day. The others follow the pattern, stay clear of the doses
before them, and give way to holds and to the cut-off.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.calendar import add_days, days_between
from service.agronomy.rules import rules


class DropReason(StrEnum):
    """Which rule takes a dose out of the plan."""

    AFTER_CUTOFF = "after-cutoff"
    HOLD = "hold"
    NOT_READY = "not-ready"
    NO_PLANTING_DOSE = "no-planting-dose"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A dose's day; with a reason, the day it would have had."""

    number: int
    on: date
    reason: DropReason | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRules:
    """All that decides the days. `fixed` holds the days of doses given or closed."""

    pattern: Mapping[int, date]
    fixed: Mapping[int, date]
    given_on: Collection[date]
    left_out: Collection[int]
    not_ready: Collection[int]
    holds: Sequence[tuple[date, date]]
    cutoff_on: date


def pattern_days(planted_on: date, emergence_on: date) -> Mapping[int, date]:
    """Return the days of the grain pattern by dose number (common practice, no source)."""
    after = enumerate(rules().after_emergence_days, start=2)
    return {1: planted_on, **{number: add_days(emergence_on, days) for number, days in after}}


def place_doses(ask: DayRules) -> tuple[Slot, ...]:
    """Return a slot for each dose of the pattern and each dose that is fixed, by number."""
    numbers = sorted({*ask.pattern, *ask.fixed})
    return _place(ask, numbers, last=None)


def closes_on(slot: Slot, live: Sequence[Slot], *, cutoff_on: date) -> date:
    """Return the last day on which a dose stays open, by the days of the other doses."""
    last_on = add_days(slot.on, rules().window_days)
    following = [other.on for other in live if other.on > slot.on]
    before_next = add_days(min(following), -1) if following else last_on
    return max(slot.on, min(last_on, before_next, cutoff_on))


def _place(ask: DayRules, numbers: Sequence[int], *, last: date | None) -> tuple[Slot, ...]:
    if not numbers:
        return ()
    number, later = numbers[0], numbers[1:]
    if number in ask.fixed:
        on = ask.fixed[number]
        reached = on if last is None else max(on, last)
        return (Slot(number=number, on=on), *_place(ask, later, last=reached))
    due_on = _spaced(ask, ask.pattern[number], last)
    reason = _drop_reason(ask, number, due_on)
    if reason is not None:
        dropped = Slot(number=number, on=due_on, reason=reason)
        return (dropped, *_place(ask, later, last=last))
    on = _clear_of_holds(ask, due_on)
    if on != due_on:
        without = _place(ask, later, last=last)
        following = next((slot.on for slot in without if slot.reason is None), None)
        crowded = following is not None and days_between(on, following) < rules().min_gap_days
        if crowded or on > ask.cutoff_on:
            return (Slot(number=number, on=due_on, reason=DropReason.HOLD), *without)
    return (Slot(number=number, on=on), *_place(ask, later, last=on))


def _drop_reason(ask: DayRules, number: int, due_on: date) -> DropReason | None:
    if number in ask.left_out:
        return DropReason.NO_PLANTING_DOSE
    if due_on > ask.cutoff_on:
        return DropReason.AFTER_CUTOFF
    return DropReason.NOT_READY if number in ask.not_ready else None


def _spaced(ask: DayRules, day: date, last: date | None) -> date:
    on = day if last is None else max(day, add_days(last, rules().min_gap_days))
    return _clear_of_given(ask, on)


def _clear_of_given(ask: DayRules, day: date) -> date:
    on = day
    for given_on in sorted(ask.given_on):  # a later number may have been given before this one
        if given_on <= on:
            on = max(on, add_days(given_on, rules().min_gap_days))
    return on


def _clear_of_holds(ask: DayRules, day: date) -> date:
    on = day
    for first_on, last_on in sorted(ask.holds):  # in order, so holds that touch are all passed
        if first_on <= on <= last_on:
            on = add_days(last_on, 1)
    spaced = _clear_of_given(ask, on)
    return on if spaced == on else _clear_of_holds(ask, spaced)
