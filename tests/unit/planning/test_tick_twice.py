"""A step may run any number of times: the second changes nothing."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from tests.everything import everything
from tests.world import OTHER_PHONE, PHONE, World, enrol
from tests.world_facts import another_can, another_plot, can_event
from tests.world_looks import messages


def lived(world: World) -> None:
    enrolled = enrol(world)
    another_plot(world, enrolled, letter="D", planted_on=date(2027, 3, 16))
    enrol(world, code="H02", number=OTHER_PHONE, letter="G", sealed_on=date(2027, 3, 1))
    enrol(world, code="H03", number="+255100000003", letter="J", needs_call=True)
    world.tick("2027-02-20T09:00")


@pytest.mark.parametrize(
    "at",
    [
        pytest.param("2027-03-13T18:00", id="with texts in the queue"),
        pytest.param("2027-03-14T17:59", id="a minute before the reminders"),
        pytest.param("2027-03-14T18:00", id="as they go"),
        pytest.param("2027-03-14T23:00", id="at night"),
        pytest.param("2027-03-17T06:00", id="as calls open"),
        pytest.param("2027-03-22T06:00", id="as windows close"),
        pytest.param("2027-04-12T06:00", id="as a dose finds no ready can"),
    ],
)
def test_the_second_step_of_a_moment_changes_nothing(world: World, at: str) -> None:
    lived(world)
    world.tick("2027-03-13T18:00")
    world.tick(at)
    before, texts = everything(world.services.sessions.engine), len(world.bodies(PHONE))

    world.tick()
    world.tick()

    assert everything(world.services.sessions.engine) == before
    assert len(world.bodies(PHONE)) == texts


def test_a_text_in_the_queue_names_the_can_that_is_right_when_it_leaves(world: World) -> None:
    """Planned a day ahead; by then the first can is used up and the second takes its place."""
    enrolled = enrol(world)
    another_can(world, enrolled, number=2, sealed_on=date(2027, 1, 20))
    another_can(world, enrolled, number=3, sealed_on=date(2027, 1, 30))
    world.tick("2027-03-13T19:00")
    (waiting,) = [row for row in messages(world, "dose") if row.state == "queued"]

    can_event(world, enrolled, CanEventKind.EMPTIED, date(2027, 3, 14))
    world.tick("2027-03-14T18:00")

    assert waiting.fields["values"]["can"] == [1]
    assert [row.id for row in messages(world, "dose")] == [waiting.id]
    assert "can 2" in world.bodies()[-1]
    assert "can 1" not in world.bodies()[-1]
