"""What a new plan changes against the one before it, and by which rule. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan

LEAST_LITRES = 0.05  # less is the noise of shares


class ChangeKind(StrEnum):
    """What became of a dose."""

    MOVED = "moved"
    DROPPED = "dropped"
    BACK = "back"
    ADDED = "added"
    GONE = "gone"
    LITRES = "litres"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One dose before and after; `why` holds the rules that give the new day, or drop it.

    A day without a rule follows from the pattern: planting or emergence has moved. Litres are None
    where the dose is not in that plan.
    """

    number: int
    kind: ChangeKind
    before_on: date | None
    after_on: date | None
    before_litres: float | None
    after_litres: float | None
    why: tuple[MoveReason | DropReason, ...]


def changes(before: SeasonPlan, after: SeasonPlan) -> tuple[Change, ...]:
    """Return what changed, by dose number; a dose that stayed as it was is not named."""
    was, now = _by_number(before), _by_number(after)
    found = (_change(number, was.get(number), now.get(number)) for number in sorted({*was, *now}))
    return tuple(change for change in found if change is not None)


def _by_number(plan: SeasonPlan) -> Mapping[int, PlannedDose | DroppedDose]:
    return {
        **{dose.number: dose for dose in plan.doses},
        **{dose.number: dose for dose in plan.dropped},
    }


def _change(
    number: int, was: PlannedDose | DroppedDose | None, now: PlannedDose | DroppedDose | None
) -> Change | None:
    kind = _kind(was, now)
    if kind is None:
        return None
    return Change(
        number=number,
        kind=kind,
        before_on=None if was is None else was.due_on,
        after_on=None if now is None else now.due_on,
        before_litres=was.litres if isinstance(was, PlannedDose) else None,
        after_litres=now.litres if isinstance(now, PlannedDose) else None,
        why=_why(now),
    )


def _kind(  # noqa: PLR0911 -- one line a kind
    was: PlannedDose | DroppedDose | None, now: PlannedDose | DroppedDose | None
) -> ChangeKind | None:
    match was, now:
        case PlannedDose(), PlannedDose() if was.due_on != now.due_on:
            return ChangeKind.MOVED
        case PlannedDose(), PlannedDose() if abs(was.litres - now.litres) >= LEAST_LITRES:
            return ChangeKind.LITRES
        case PlannedDose(), DroppedDose():
            return ChangeKind.DROPPED
        case DroppedDose(), PlannedDose():
            return ChangeKind.BACK
        case None, PlannedDose():
            return ChangeKind.ADDED
        case PlannedDose(), None:
            return ChangeKind.GONE
        case _:
            return None


def _why(now: PlannedDose | DroppedDose | None) -> tuple[MoveReason | DropReason, ...]:
    match now:
        case PlannedDose():
            return now.moved
        case DroppedDose():
            return (now.reason,)
        case None:
            return ()
