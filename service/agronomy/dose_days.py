"""The day of each dose, or the reason why it is dropped.

Doses given or closed keep their day. The others follow the pattern, stay clear of the doses
before them, and give way to holds, to days of the week to avoid, and to the cut-off.
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
    SITE = "site"


class MoveReason(StrEnum):
    """Which rule moves a dose off the day of its pattern."""

    GAP = "gap"
    HOLD = "hold"
    AVOIDED = "avoided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A dose's day; with a drop reason, the day it would have had.

    `usual_on` is the day of its pattern; a fixed dose outside the pattern has its own.
    """

    number: int
    on: date
    usual_on: date
    reason: DropReason | None = None
    moved: tuple[MoveReason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRules:
    """All that decides the days. `fixed` holds the days of doses given or closed.

    `avoided` holds days of the week, Monday being 0; `dropped` holds doses that another rule takes
    out, with that rule.
    """

    pattern: Mapping[int, date]
    fixed: Mapping[int, date]
    given_on: Collection[date]
    dropped: Mapping[int, DropReason]
    holds: Sequence[tuple[date, date]]
    cutoff_on: date
    avoided: Collection[int] = ()


def pattern_days(
    planted_on: date, emergence_on: date, *, after_emergence_days: Sequence[int]
) -> Mapping[int, date]:
    """Return the days of a pattern by dose number: one at planting, the rest after emergence."""
    after = enumerate(after_emergence_days, start=2)
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
        usual_on = ask.pattern.get(number, on)
        fixed = Slot(number=number, on=on, usual_on=usual_on)
        return (fixed, *_place(ask, later, last=reached))
    usual_on = ask.pattern[number]
    due_on = _spaced(ask, usual_on, last)
    reason = ask.dropped.get(number)
    if reason in (None, DropReason.NOT_READY) and due_on > ask.cutoff_on:
        reason = DropReason.AFTER_CUTOFF
    if reason is not None:
        dropped = Slot(number=number, on=due_on, usual_on=usual_on, reason=reason)
        return (dropped, *_place(ask, later, last=last))
    held_on = _clear_of_holds(ask, due_on)
    if held_on != due_on:
        without = _place(ask, later, last=last)
        # a later number may have been given before it, so nearness counts on either side
        crowded = any(
            abs(days_between(held_on, slot.on)) < rules().min_gap_days
            for slot in without
            if slot.reason is None
        )
        if crowded or held_on > ask.cutoff_on:
            held = DropReason.HOLD
            dropped = Slot(number=number, on=due_on, usual_on=usual_on, reason=held)
            return (dropped, *without)
    on = _off_avoided(ask, held_on, last)
    steps = ((MoveReason.GAP, usual_on, due_on), (MoveReason.HOLD, due_on, held_on))
    moved = (*steps, (MoveReason.AVOIDED, held_on, on))
    why = tuple(reason for reason, before, after in moved if before != after)
    slot = Slot(number=number, on=on, usual_on=usual_on, moved=why)
    return (slot, *_place(ask, later, last=on))


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
    return on


def _off_avoided(ask: DayRules, day: date, last: date | None) -> date:
    """Return the day after one to avoid, or the day before, whichever the rules leave free."""
    if day.weekday() not in ask.avoided:
        return day
    after, before = add_days(day, 1), add_days(day, -1)
    return next((other for other in (after, before) if _is_free(ask, other, last)), day)


def _is_free(ask: DayRules, day: date, last: date | None) -> bool:
    spaced = last is None or days_between(last, day) >= rules().min_gap_days
    return (
        spaced
        and day.weekday() not in ask.avoided
        and min(ask.pattern.values()) <= day <= ask.cutoff_on
        and _clear_of_holds(ask, day) == day
        and _clear_of_given(ask, day) == day
    )
