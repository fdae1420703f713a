"""What comes in while the clock is in doubt: kept as it came, and read once it is right."""

from datetime import date

import pytest

from gateway_adapters.events import Inbound
from service.jobs import watched
from service.records.fields import FactKind
from service.records.parked_texts import ParkedTextRow
from service.records.traffic import InboundRow
from service.records.ussd import UssdSessionRow
from tests.unit.dispatch.sending import at, lane
from tests.web.neighbours import add_neighbour, dump_of
from tests.world import PHONE, Enrolled, World, dose_days, enrol
from tests.world_looks import facts, rows, sent_kinds

WRONG = "2027-04-13T18:00"


@pytest.fixture
def home(world: World) -> Enrolled:
    """A home that was told of dose 1 of 15 March; noon of that day, and the clock is watched."""
    made = enrol(world)
    world.tick("2027-03-14T18:00")
    world.services = watched(world.services)
    world.tick("2027-03-15T12:00")
    return made


def test_a_text_waits_unread_and_nothing_is_planned_by_it(world: World, home: Enrolled) -> None:
    """A reading by the wrong time would close the windows of all doses until April."""
    before, days = dump_of(world, 1), dose_days(world, home)
    world.text("A1", at=WRONG)
    after = dump_of(world, 1)

    assert [row.text for row in rows(world, ParkedTextRow)] == ["A1"]
    assert rows(world, InboundRow) == []
    assert {table for table in before if before[table] != after[table]} == {"audit", "parked_text"}
    assert dose_days(world, home) == days


def test_a_text_that_waits_is_not_written_anew_at_each_step(world: World, home: Enrolled) -> None:
    """Its row keeps its id, though a later one stands behind it."""
    world.text("A1", at=WRONG)
    add_neighbour(world)
    before = dump_of(world, 1)["parked_text"]
    world.tick("2027-04-13T18:01")

    assert home.association_id == 1
    assert len(before) == 1
    assert dump_of(world, 1)["parked_text"] == before


def test_it_is_read_once_the_clock_is_right_before_what_comes_then(
    world: World, home: Enrolled
) -> None:
    world.text("A1", at=WRONG)
    world.text("STOP", at="2027-03-15T12:10")

    assert [row.text for row in rows(world, InboundRow)] == ["A1", "STOP"]
    assert rows(world, ParkedTextRow) == []
    assert [fact.on for fact in facts(world, home, FactKind.APPLIED)] == [date(2027, 3, 15)]


def test_a_stop_in_doubt_ends_texts_before_any_other_leaves(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T17:00")
    world.services = watched(world.services)
    world.text("STOP", at=WRONG)
    world.tick("2027-03-14T18:00")

    assert sent_kinds(world) == ["stop_ok"]


def test_the_same_text_again_is_read_once(world: World, home: Enrolled) -> None:
    at(world, WRONG)
    event = Inbound(event_id="in-7", sender=PHONE, to="15050", text="A1", received_at=world.clock())
    for _ in range(2):
        world.services.receiver(lane(world)).take(event)
    world.tick("2027-03-15T12:10")
    world.services.receiver(lane(world)).take(event)

    assert [row.text for row in rows(world, InboundRow)] == ["A1"]
    assert len(facts(world, home, FactKind.APPLIED)) == 1


def test_a_gateway_that_calls_us_is_held_as_well(world: World, home: Enrolled) -> None:
    """A request comes between two steps: the clock is judged as it comes."""
    at(world, WRONG)
    text = Inbound(event_id="in-8", sender=PHONE, to="15050", text="A1", received_at=world.clock())
    world.services.receiver(lane(world)).take(text)

    assert [row.event_id for row in rows(world, ParkedTextRow)] == ["in-8"]
    assert facts(world, home, FactKind.APPLIED) == []


def test_who_dials_is_told_that_nothing_was_noted(world: World, home: Enrolled) -> None:
    at(world, WRONG)
    world.gateway.handsets.dial(PHONE)
    world.services.step()
    screen = world.gateway.handsets.screen(PHONE)

    assert screen is not None
    assert (screen.text, screen.finish) == ("Nothing was noted. Goodbye.", True)
    assert rows(world, UssdSessionRow) == []
    assert facts(world, home, FactKind.APPLIED) == []
