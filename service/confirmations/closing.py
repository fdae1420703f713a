"""The end of a planting: nothing more is given to it."""

from datetime import date

from service.confirmations.outcomes import Desk
from service.confirmations.plot_state import PlotState
from service.planning.refresh import refresh_household
from service.records.fields import DoseState


def close_planting(desk: Desk, state: PlotState, *, on: date, reason: str) -> None:
    """Close a planting; its doses to come are dropped for the reason, and free their litres.

    A dose whose day had come and of which nobody told is not known: silence is not "not done".
    """
    state.bundle.planting.closed_on = on
    for row in state.bundle.doses:
        if row.state is not DoseState.PLANNED:
            continue
        if row.due_on > min(on, desk.today):
            row.state, row.reason = DoseState.DROPPED, reason
        else:
            row.state = DoseState.NOT_KNOWN
    desk.session.flush()
    replan_household(desk, state.bundle.household.id)


def replan_household(desk: Desk, household_id: int) -> None:
    """Plan a household's open plantings anew, since one shares its cans with the others."""
    refresh_household(
        desk.session, desk.association_id, household_id, today=desk.today, now=desk.now
    )
