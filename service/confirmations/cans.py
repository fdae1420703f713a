"""A container was sealed."""

from datetime import date

from service.agronomy.calendar import days_between
from service.confirmations.outcomes import Desk, NeedsReading, Outcome, Sealed
from service.planning.cans import cans_by_household
from service.planning.stock import Can, CanState
from service.records.can_events import add_can_event
from service.records.fields import ContainerEventKind
from service.records.plantings import association

BACK_DAYS = 2  # a rest shortened by a back-dated text would be a risk to health


def confirm_sealed(desk: Desk, household_id: int, number: int, *, on: date) -> Outcome:
    """Record that a container was sealed on a day, and return when it will be ready."""
    if days_between(on, desk.today) > BACK_DAYS or on > desk.today:
        return NeedsReading(hint="sealed too long ago")
    cans = _cans(desk, household_id)
    can = next((item for item in cans if item.number == number), None)
    if can is None:
        return NeedsReading(hint="can number")
    if can.state in (CanState.FILLING, CanState.EMPTY):
        add_can_event(
            desk.session,
            desk.association_id,
            can.container_id,
            kind=ContainerEventKind.SEALED,
            on=on,
            source=desk.source,
            noted_by=desk.noted_by,
            now=desk.now,
        )
        cans = _cans(desk, household_id)
        can = next(item for item in cans if item.number == number)
    if can.ready_on is None or can.sealed_on is None:
        return NeedsReading(hint="no ready date: store temperature")
    return Sealed(
        number=number,
        on=can.sealed_on,
        wait_days=days_between(can.sealed_on, can.ready_on),
        ready_on=can.ready_on,
    )


def _cans(desk: Desk, household_id: int) -> tuple[Can, ...]:
    row = association(desk.session, desk.association_id)
    found = cans_by_household(desk.session, row, today=desk.today, households=(household_id,))
    return found.get(household_id, ())
