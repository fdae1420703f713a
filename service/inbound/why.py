"""The answer to WHY: the plot's next day, the day harvest is safe from, and whom to ask."""

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.confirmations.outcomes import Desk
from service.confirmations.plot_state import look
from service.inbound.answers import Answer
from service.records.fields import DoseState


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
    return Answer(
        kind="r_why",
        values={
            "plot": state.letter,
            "next": None if following is None else following.due_on.isoformat(),
            "harvest": harvest_on.isoformat(),
            "phone": phone,
        },
    )
