"""A reminder that is due, and one run of what sends it."""

from datetime import datetime

from service.dispatch.dispatcher import Lane
from service.records.traffic import (
    MessageRow,
)
from tests.world import ZONE, World, enrol
from tests.world_looks import messages


def lane(world: World) -> Lane:
    made = world.services.lane()
    assert made is not None
    return made


def at(world: World, clock: str) -> None:
    world.now = datetime.fromisoformat(clock).replace(tzinfo=ZONE)


def due(world: World) -> MessageRow:
    """Leave one reminder in the queue, due at six in the evening of 14 March."""
    enrol(world)
    world.tick("2027-03-13T20:30")
    at(world, "2027-03-14T18:00")
    (row,) = messages(world, "dose")
    return row


def send(world: World) -> int:
    return world.services.dispatcher(lane(world)).run_once()
