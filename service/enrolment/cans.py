"""A container: what may be entered of it, its number and its row."""

from collections.abc import Collection
from datetime import date

from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind
from service.confirmations.cans import STAFF_BACK_DAYS
from service.confirmations.outcomes import Desk
from service.enrolment.book import write_down
from service.enrolment.entries import CanEntry
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.ranges import range_fault
from service.enrolment.replanning import cans_of
from service.enrolment.results import CanAdded
from service.enrolment.signs import next_number
from service.records.can_events import add_can_event
from service.records.enrolment import neighbours, sign_rows
from service.records.fields import ContainerRow
from service.records.intake import add


def check_can(desk: Desk, entry: CanEntry, *, sharing: Collection[int]) -> tuple[Fault, ...]:
    """Return everything that is wrong with a container, or nothing.

    `sharing` are the ids of the household and of those on its phones.
    """
    faults = (
        range_fault("litres", entry.litres, limit="can_litres"),
        range_fault("can_number", entry.can_number, limit="number"),
        _number_fault(desk, entry.can_number, sharing),
        *(_day_fault(name, day, desk.today) for name, day in _days(entry).items()),
    )
    return tuple(fault for fault in faults if fault is not None) or _order(entry)


def save_can(desk: Desk, household_id: int, entry: CanEntry) -> CanAdded:
    """Add a container that was checked, with what happened to it."""
    near = neighbours(desk.session, desk.association_id, household_id)
    signs = sign_rows(desk.session, desk.association_id, near | {household_id})
    number = entry.can_number or next_number({can.number for can in signs.containers})
    row = ContainerRow(
        association_id=desk.association_id,
        household_id=household_id,
        number=number,
        litres=entry.litres,
        longer_rest=entry.longer_rest,
        recorded_at=desk.now,
    )
    add(desk.session, row)
    for kind, on in _happened(entry):
        add_can_event(
            desk.session,
            desk.association_id,
            row.id,
            kind=kind,
            on=on,
            source=desk.source,
            noted_by=desk.noted_by,
            now=desk.now,
        )
    write_down(desk, "enrolled", "container", row.id, ids={"household_id": household_id})
    standing = next(can for can in cans_of(desk, household_id) if can.container_id == row.id)
    return CanAdded(container_id=row.id, number=row.number, ready_on=standing.ready_on)


def _number_fault(desk: Desk, number: int | None, sharing: Collection[int]) -> Fault | None:
    signs = sign_rows(desk.session, desk.association_id, sharing)
    if number is None:
        if next_number({can.number for can in signs.containers}) is not None:
            return None
        return Fault(field="can_number", code=FaultCode.NO_NUMBER_LEFT)
    owner = next((can.household_id for can in signs.containers if can.number == number), None)
    if owner is None:
        return None
    alias = next(home.alias for home in signs.households if home.id == owner)
    return Fault(field="can_number", code=FaultCode.NUMBER_TAKEN, values={"alias": alias})


def _days(entry: CanEntry) -> dict[str, date | None]:
    return {
        "opened_on": entry.opened_on,
        "sealed_on": entry.sealed_on,
        "emptied_on": entry.emptied_on,
    }


def _day_fault(field: str, day: date | None, today: date) -> Fault | None:
    if day is None:
        return None
    if day > today:
        return Fault(field=field, code=FaultCode.NOT_YET, values={"latest": today})
    earliest = add_days(today, -STAFF_BACK_DAYS)
    if day < earliest:
        return Fault(field=field, code=FaultCode.TOO_EARLY, values={"earliest": earliest})
    return None


def _order(entry: CanEntry) -> tuple[Fault, ...]:
    opened, sealed, emptied = entry.opened_on, entry.sealed_on, entry.emptied_on
    if opened and sealed and sealed < opened:
        values = {"opened_on": opened}
        return (Fault(field="sealed_on", code=FaultCode.SEALED_BEFORE_OPENED, values=values),)
    # a day of emptying before the filling began is of the can's round before this one
    if sealed and emptied and (opened or emptied) <= emptied < sealed:
        values = {"sealed_on": sealed}
        return (Fault(field="emptied_on", code=FaultCode.EMPTIED_BEFORE_SEALED, values=values),)
    return ()


def _happened(entry: CanEntry) -> list[tuple[CanEventKind, date]]:
    told = (
        (CanEventKind.OPENED, entry.opened_on),
        (CanEventKind.SEALED, entry.sealed_on),
        (CanEventKind.EMPTIED, entry.emptied_on),
    )
    # of one day, the order of a can's round
    return sorted(((kind, on) for kind, on in told if on is not None), key=lambda event: event[1])
