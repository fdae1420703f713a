"""What staff write down about a can: dated as they were told, in the order of its days."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind, CanState
from service.confirmations.cans import CanNoted, confirm_sealed, note_can_event
from service.confirmations.outcomes import Desk, NeedsReading, Sealed
from service.planning.cans import cans_by_household
from service.planning.send_window import local_day
from service.records.fields import ContainerEventRow, Source
from service.records.people import AssociationRow
from tests.world import ZONE, Enrolled, World, enrol
from tests.world_facts import can_event
from tests.world_looks import dose, rows

OPENED, SEALED = CanEventKind.OPENED, CanEventKind.SEALED
REFILLED, EMPTIED = CanEventKind.REFILLED, CanEventKind.EMPTIED
LEAKED = CanEventKind.LEAKED


def noted(world: World, home: Enrolled, kind: CanEventKind, on: date) -> CanNoted | NeedsReading:
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.CALL,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
            noted_by="Neema Test",
        )
        cans = cans_by_household(session, 1, today=desk.today)
        return note_can_event(desk, cans[home.household_id][0], kind, on=on)


@pytest.mark.parametrize(
    ("kind", "state", "ready_on"),
    [
        pytest.param(REFILLED, CanState.RESTING, date(2027, 4, 9), id="topped up: 10 March + 30"),
        pytest.param(OPENED, CanState.FILLING, None, id="opened for filling"),
        pytest.param(EMPTIED, CanState.EMPTY, None, id="emptied"),
        pytest.param(LEAKED, CanState.EMPTY, None, id="found leaking"),
    ],
)
def test_news_of_a_sealed_can_change_how_it_stands(
    world: World, kind: CanEventKind, state: CanState, ready_on: date | None
) -> None:
    home = enrol(world, sealed_on=date(2027, 3, 1))
    world.tick("2027-03-15T12:00")

    news = noted(world, home, kind, date(2027, 3, 10))

    assert isinstance(news, CanNoted)
    assert (news.can.state, news.can.ready_on) == (state, ready_on)
    last = rows(world, ContainerEventRow)[-1]
    assert (last.kind, last.on, last.noted_by) == (kind, date(2027, 3, 10), "Neema Test")


@pytest.mark.parametrize(
    ("on", "hint"),
    [
        pytest.param(date(2027, 3, 16), "future", id="tomorrow"),
        pytest.param(
            date(2027, 2, 28), "before the last news of the can", id="the day before the last news"
        ),
        pytest.param(date(2026, 2, 7), "can news too long ago", id="401 days back"),
    ],
)
def test_news_on_a_day_that_cannot_be_are_not_recorded(world: World, on: date, hint: str) -> None:
    home = enrol(world, sealed_on=date(2027, 3, 1))
    world.tick("2027-03-15T12:00")
    before = len(rows(world, ContainerEventRow))

    assert noted(world, home, EMPTIED, on) == NeedsReading(hint=hint)
    assert len(rows(world, ContainerEventRow)) == before


def test_staff_may_date_a_sealing_further_back_than_a_text(world: World) -> None:
    """General use: 30 days (SSWM), so 2 March leads to 1 April."""
    home = enrol(world, sealed_on=None)
    world.tick("2027-03-15T12:00")
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.FORM,
            today=date(2027, 3, 15),
            now=world.clock(),
        )
        outcome = confirm_sealed(desk, home.household_id, 1, on=date(2027, 3, 2))

    assert outcome == Sealed(number=1, on=date(2027, 3, 2), wait_days=30, ready_on=date(2027, 4, 1))


def test_a_sealing_before_the_opening_goes_to_a_person(world: World) -> None:
    home = enrol(world, sealed_on=None)
    can_event(world, home, OPENED, date(2027, 3, 12))
    world.tick("2027-03-15T12:00")
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.CALL,
            today=date(2027, 3, 15),
            now=world.clock(),
        )
        outcome = confirm_sealed(desk, home.household_id, 1, on=date(2027, 3, 11))

    assert outcome == NeedsReading(hint="before the last news of the can")


def test_a_sealing_is_noted_also_where_no_ready_day_is_known(world: World) -> None:
    home = enrol(world, sealed_on=None)
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).store_c = None
    world.tick("2027-03-15T12:00")

    news = noted(world, home, SEALED, date(2027, 3, 15))

    assert isinstance(news, CanNoted)
    assert news.can.sealed_on == date(2027, 3, 15)


def test_a_can_found_leaking_leaves_the_next_dose_without_its_litres(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-14T12:00")
    before = dose(world, home, 1).urine_l

    noted(world, home, LEAKED, date(2027, 3, 14))

    assert before > 0
    assert dose(world, home, 1).urine_l == 0


def test_a_can_is_sealed_once_a_day(world: World) -> None:
    home = enrol(world, sealed_on=date(2027, 3, 1))
    world.tick("2027-03-15T12:00")
    for kind in (EMPTIED, OPENED, SEALED, EMPTIED):
        noted(world, home, kind, date(2027, 3, 15))

    assert noted(world, home, SEALED, date(2027, 3, 15)) == NeedsReading(
        hint="sealed twice in a day"
    )
