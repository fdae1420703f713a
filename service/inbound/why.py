"""The answer to WHY: the plot's next day and what set it, and the day harvest is safe from."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.agronomy.dose_days import MoveReason
from service.agronomy.season_plan import PlannedDose
from service.confirmations.outcomes import Desk
from service.confirmations.plot_state import PlotState, look
from service.inbound.answers import Answer
from service.planning.allotting import Planned, eaters_of
from service.planning.board import is_transplanted
from service.records.fields import DoseRow, DoseState, FactKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """The kind of answer, and the day that it counts from."""

    kind: str
    since: date


def why(desk: Desk, planting_id: int, *, phone: str) -> Answer:
    """Return the answer; the harvest day counts the doses still to come as given."""
    state = look(desk, planting_id)
    following = state.next_dose()
    to_come = [
        add_days(row.due_on, MONTH_DAYS)
        for row in state.bundle.doses
        if row.state is DoseState.PLANNED
    ]
    harvest_on = max([state.safe_harvest(desk.today) or desk.today, *to_come])
    values = {"plot": state.letter, "harvest": harvest_on.isoformat(), "phone": phone}
    if following is None:
        return Answer(kind="r_why", values={**values, "next": None})
    reason = _reason(state, following)
    return Answer(
        kind=reason.kind,
        values={
            **values,
            "next": following.due_on.isoformat(),
            "since": reason.since.isoformat(),
        },
    )


def _reason(state: PlotState, row: DoseRow) -> Reason:
    dose = next(dose for dose in state.plan.doses if dose.number == row.number)
    return _stock(state, row) or _moved(state, dose) or _counted(state, dose)


def _stock(state: PlotState, row: DoseRow) -> Reason | None:
    if row.urine_l > 0:
        return None
    days = [can.ready_for(eaters_of(state.bundle)) for can in state.cans]
    later = [day for day in days if day is not None and day > row.due_on]
    return Reason(kind="r_why_stock", since=min(later)) if later else None


def _moved(state: PlotState, dose: PlannedDose) -> Reason | None:
    if MoveReason.HOLD in dose.moved:
        burnt = [fact.on for fact in state.bundle.facts if fact.kind is FactKind.BURNT]
        held = [hold for hold in state.bundle.holds if add_days(hold.last_on, 1) <= dose.due_on]
        for on in reversed(burnt):
            if any(hold.first_on <= on <= hold.last_on for hold in held):
                return Reason(kind="r_why_burn", since=on)
        return Reason(kind="r_why_rain", since=dose.usual_on)
    earlier = [on for on in state.reports.given.values() if on < dose.due_on]
    if MoveReason.GAP in dose.moved and earlier:
        return Reason(kind="r_why_gap", since=max(earlier))
    return None


def _counted(state: PlotState, dose: PlannedDose) -> Reason:
    planned = Planned(bundle=state.bundle, plan=state.plan)
    if dose.number == 1 or is_transplanted(planned):
        return Reason(kind="r_why_planting", since=state.reports.planted_on)
    kind = "r_why_assumed" if state.plan.emergence_assumed else "r_why_up"
    return Reason(kind=kind, since=state.plan.emergence_on)
