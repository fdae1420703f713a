"""A can is reported sealed: once, lately, and with the day it will be ready."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.confirmations.cans import confirm_sealed
from service.confirmations.outcomes import (
    Desk,
    NeedsReading,
    Outcome,
    Sealed,
)
from service.planning.send_window import local_day
from service.records.fields import ContainerEventRow, ContainerRow, Source
from service.records.people import AssociationRow
from tests.world import ZONE, Enrolled, World, enrol
from tests.world_facts import another_can, by_call, can_event
from tests.world_looks import rows


def sealed(world: World, home: Enrolled, number: int, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_sealed(desk, home.household_id, number, on=on))


def sealed_by_text(world: World, home: Enrolled, number: int, on: date) -> Outcome:
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.TEXT,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
        )
        return confirm_sealed(desk, home.household_id, number, on=on)


@pytest.mark.parametrize("state", [CanEventKind.OPENED, CanEventKind.EMPTIED])
def test_a_can_sealed_today_is_ready_after_its_rest(world: World, state: CanEventKind) -> None:
    """General use: 30 days (WHO 2006, vol. 4)."""
    home = enrol(world, sealed_on=None)
    can_event(world, home, state, date(2027, 2, 1))
    world.tick("2027-03-15T12:00")

    outcomes = [sealed(world, home, 1, date(2027, 3, 14)) for _ in range(2)]

    assert (
        outcomes
        == [Sealed(number=1, on=date(2027, 3, 14), wait_days=30, ready_on=date(2027, 4, 13))] * 2
    )
    kinds = [row.kind for row in rows(world, ContainerEventRow)]
    assert kinds.count(CanEventKind.SEALED) == 1


def test_a_can_that_rests_keeps_the_day_it_was_sealed(world: World) -> None:
    home = enrol(world, sealed_on=date(2027, 3, 1))
    world.tick("2027-03-15T12:00")

    outcome = sealed(world, home, 1, date(2027, 3, 15))

    assert outcome == Sealed(
        number=1, on=date(2027, 3, 1), wait_days=30, ready_on=date(2027, 3, 31)
    )


@pytest.mark.parametrize(
    ("number", "on", "hint"),
    [
        (2, date(2027, 3, 12), "sealed too long ago"),
        (2, date(2027, 3, 16), "sealed too long ago"),
        (3, date(2027, 3, 15), "can number"),
    ],
    ids=["three days ago", "tomorrow", "a can that the home lacks"],
)
def test_a_sealing_that_is_not_sure_goes_to_a_person(
    world: World, number: int, on: date, hint: str
) -> None:
    home = enrol(world)
    another_can(world, home, number=2, sealed_on=date(2027, 1, 1))
    can_event(world, home, CanEventKind.EMPTIED, date(2027, 3, 1), number=2)
    world.tick("2027-03-15T12:00")

    assert sealed_by_text(world, home, number, on) == NeedsReading(hint=hint)


def test_a_sealing_without_a_ready_date_goes_to_a_person(world: World) -> None:
    """A longer rest in a store whose warmth nobody knows has no end in the service."""
    home = enrol(world, sealed_on=date(2027, 3, 1))
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).store_c = None
        session.get_one(ContainerRow, 1).longer_rest = True
    world.tick("2027-03-15T12:00")

    outcome = sealed(world, home, 1, date(2027, 3, 15))

    assert outcome == NeedsReading(hint="no ready date: store temperature")
