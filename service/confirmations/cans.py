"""News of a container: sealed, opened, topped up, emptied or found leaking."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import days_between
from service.agronomy.containers import CanEventKind, CanState
from service.confirmations.closing import replan_household
from service.confirmations.outcomes import Desk, NeedsReading, Outcome, Sealed
from service.planning.cans import cans_by_household
from service.planning.stock import Can
from service.records.can_events import add_can_event
from service.records.containers import ContainerBundle, containers
from service.records.fields import OWN_WORD

BACK_DAYS = 2  # a rest shortened by a back-dated text would be a risk to health
STAFF_BACK_DAYS = 400  # project choice: staff have asked; a year earlier is surely mistyped


@dataclass(frozen=True, slots=True, kw_only=True)
class CanNoted:
    """Something that happened to a container is noted; `can` is how it stands now."""

    kind: CanEventKind
    on: date
    can: Can


def confirm_sealed(desk: Desk, household_id: int, number: int, *, on: date) -> Outcome:
    """Record that a container was sealed on a day, and return when it will be ready."""
    if not 0 <= days_between(on, desk.today) <= _back_days(desk):
        return NeedsReading(hint="sealed too long ago")
    own = containers(desk.session, desk.association_id, households=(household_id,))
    bundle = next((item for item in own if item.container.number == number), None)
    if bundle is None:
        return NeedsReading(hint="can number")
    can = _standing(desk, bundle)
    # what is in a can is reckoned: one that seems in use may have been emptied and filled again
    if can.state in (CanState.FILLING, CanState.EMPTY, CanState.IN_USE):
        noted = note_can_event(desk, can, CanEventKind.SEALED, on=on)
        if isinstance(noted, NeedsReading):
            return noted
        can = noted.can
    if can.ready_on is None or can.sealed_on is None:
        return NeedsReading(hint="no ready date: store temperature")
    return Sealed(
        number=number,
        on=can.sealed_on,
        wait_days=days_between(can.sealed_on, can.ready_on),
        ready_on=can.ready_on,
    )


def note_can_event(
    desk: Desk, can: Can, kind: CanEventKind, *, on: date
) -> CanNoted | NeedsReading:
    """Record what happened to a container on a day, and return how it stands then.

    The household is planned anew, since what its cans hold decides its doses. News must come in
    the order of their days, since each is read in the light of those before: what is older than
    the last news is left to a person, and nothing is recorded.
    """
    if on > desk.today:
        return NeedsReading(hint="future")
    if days_between(on, desk.today) > _back_days(desk):
        return NeedsReading(hint="can news too long ago")
    known = _bundle(desk, can).events
    if known and on < known[-1].on:
        return NeedsReading(hint="before the last news of the can")
    if kind is CanEventKind.SEALED and any((each.kind, each.on) == (kind, on) for each in known):
        return NeedsReading(hint="sealed twice in a day")
    add_can_event(
        desk.session,
        desk.association_id,
        can.container_id,
        kind=kind,
        on=on,
        source=desk.source,
        noted_by=desk.noted_by,
        now=desk.now,
    )
    replan_household(desk, can.household_id)
    return CanNoted(kind=kind, on=on, can=_standing(desk, _bundle(desk, can)))


def _back_days(desk: Desk) -> int:
    return BACK_DAYS if desk.source in OWN_WORD else STAFF_BACK_DAYS


def _bundle(desk: Desk, can: Can) -> ContainerBundle:
    own = containers(desk.session, desk.association_id, households=(can.household_id,))
    return next(item for item in own if item.container.id == can.container_id)


def _standing(desk: Desk, bundle: ContainerBundle) -> Can:
    household_id = bundle.container.household_id
    own = cans_by_household(
        desk.session, desk.association_id, today=desk.today, households=(household_id,)
    )
    return next(can for can in own[household_id] if can.container_id == bundle.container.id)
