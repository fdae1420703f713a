"""Which doses of several plantings a new plan changes, and how that is written down. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain

from service.agronomy.changes import Change, ChangeKind, changes
from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.season_plan import SeasonPlan

Plans = Mapping[int, SeasonPlan]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A change of one dose of a planting."""

    planting_id: int
    change: Change


def moves(before: Plans, after: Plans) -> tuple[Moved, ...]:
    """Return the doses of these plantings that are not as they were, by planting and number."""
    return tuple(
        chain.from_iterable(
            [
                Moved(planting_id=planting_id, change=change)
                for change in changes(before[planting_id], plan)
            ]
            for planting_id, plan in sorted(after.items())
            if planting_id in before
        )
    )


def watered(before: Plans, after: Plans) -> int:
    """Return how many doses get another amount of water with the same urine."""
    was, now = _water(before), _water(after)
    return sum(
        was[dose][0] == urine and was[dose][1] != water
        for dose, (urine, water) in now.items()
        if dose in was
    )


def _water(plans: Plans) -> dict[tuple[int, int], tuple[float, float]]:
    return {
        (planting_id, dose.number): (dose.litres, dose.water_litres)
        for planting_id, plan in plans.items()
        for dose in plan.doses
    }


def written(moved: Moved) -> list[object]:
    """Return a change as plain values, for the audit."""
    change = moved.change
    return [
        moved.planting_id,
        change.number,
        change.kind.value,
        _day(change.before_on),
        _day(change.after_on),
        change.before_litres,
        change.after_litres,
        [rule.value for rule in change.why],
    ]


def read(values: Sequence[object]) -> Moved:
    """Return the change that was written down as these values.

    Raises:
        ValueError: they are no change.
    """
    match values:
        case [int(planting_id), int(number), str(kind), before, after, litres, new_litres, why]:
            rules = DropReason if kind == ChangeKind.DROPPED.value else MoveReason
            change = Change(
                number=number,
                kind=ChangeKind(kind),
                before_on=_on(before),
                after_on=_on(after),
                before_litres=_litres(litres),
                after_litres=_litres(new_litres),
                why=tuple(rules(str(rule)) for rule in why) if isinstance(why, list) else (),
            )
            return Moved(planting_id=planting_id, change=change)
        case _:
            raise ValueError("no change of a dose is written like this")


def _day(on: date | None) -> str | None:
    return None if on is None else on.isoformat()


def _on(written_day: object) -> date | None:
    return date.fromisoformat(written_day) if isinstance(written_day, str) else None


def _litres(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
