"""Time that ran out is seen by the step that plans, so that its call opens without delay."""

import pytest

from gateway_adapters.contract import Rejected, RejectKind, Scope
from service.messages.lifecycle import State
from service.records.traffic import TaskKind
from tests.world import World, enrol
from tests.world_looks import calls, states


class KilledError(Exception):
    """Our process ends here."""


def test_a_reminder_that_could_not_leave_is_a_call_on_the_day_itself(world: World) -> None:
    enrol(world)
    down = Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="no-network")
    world.gateway.script = [down] * 10
    world.tick("2027-03-14T18:00")

    world.tick("2027-03-15T06:00")  # the first step since, when calls open

    assert State.EXPIRED in states(world, "dose")
    assert len(calls(world, TaskKind.NOT_TOLD)) == 1


def test_a_text_in_doubt_is_listed_in_the_step_that_ends_its_lease(world: World) -> None:
    enrol(world)

    def die(point: str) -> None:
        if point == "after-claim":
            raise KilledError

    world.mark = die
    with pytest.raises(KilledError):
        world.tick("2027-03-14T18:00")
    world.mark = lambda _point: None

    world.tick("2027-03-14T18:03")

    assert states(world, "dose") == [State.UNKNOWN]
    assert len(calls(world, TaskKind.UNKNOWN)) == 1
