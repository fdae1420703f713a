"""A planting's plan as plain values, as far as two plans can be told apart by it. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from service.agronomy.dose_days import DropReason
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan
from service.planning.allotting import Planned


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A plan when it was looked at, and the newest fact and hold that it followed from.

    `doses` are number, day, litres and whether it was given; `dropped` number, day and reason.
    """

    doses: tuple[tuple[int, str, float, bool], ...]
    dropped: tuple[tuple[int, str, str], ...]
    fact: int
    hold: int

    def day_of(self, number: int) -> date | None:
        """Return the day that a dose had."""
        days = {dose[0]: dose[1] for dose in self.dropped}
        days |= {dose[0]: dose[1] for dose in self.doses}
        return date.fromisoformat(days[number]) if number in days else None


def note_of(planned: Planned) -> Note:
    """Return what a planting's plan is now."""
    plan, bundle = planned.plan, planned.bundle
    return Note(
        doses=tuple(
            (dose.number, dose.due_on.isoformat(), dose.litres, dose.given_on is not None)
            for dose in plan.doses
        ),
        dropped=tuple(
            (dose.number, dose.due_on.isoformat(), dose.reason.value) for dose in plan.dropped
        ),
        fact=max((fact.id for fact in bundle.facts), default=0),
        hold=max((hold.id for hold in bundle.holds), default=0),
    )


def plan_of(note: Note, now: SeasonPlan) -> SeasonPlan:
    """Return the plan that was noted; what no note holds is as in the plan of now."""
    doses = tuple(
        PlannedDose(
            number=number,
            due_on=date.fromisoformat(day),
            litres=litres,
            water_litres=0.0,
            closes_on=date.fromisoformat(day),
            given_on=date.fromisoformat(day) if given else None,
            usual_on=date.fromisoformat(day),
        )
        for number, day, litres, given in note.doses
    )
    dropped = tuple(
        DroppedDose(number=number, due_on=date.fromisoformat(day), reason=DropReason(reason))
        for number, day, reason in note.dropped
    )
    return replace(now, doses=doses, dropped=dropped)


def written(note: Note) -> dict[str, object]:
    """Return a note as the audit keeps it."""
    return {
        "doses": [list(dose) for dose in note.doses],
        "dropped": [list(dose) for dose in note.dropped],
        "fact": note.fact,
        "hold": note.hold,
    }


def read(kept: Mapping[str, Any]) -> Note:
    """Return the note that was kept so."""
    return Note(
        doses=tuple((number, day, litres, given) for number, day, litres, given in kept["doses"]),
        dropped=tuple((number, day, reason) for number, day, reason in kept["dropped"]),
        fact=kept["fact"],
        hold=kept["hold"],
    )
