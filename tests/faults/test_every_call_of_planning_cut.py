"""The connection is cut at every single call of planning, of the lanes and of the clock's watch."""

from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest

from service.bootstrap import Services
from service.dispatch.clock_watch import look_at
from service.jobs import watched
from service.records.faults import STORE_FAULTS
from tests.faults.ledger import compare
from tests.faults.scissors import Cut, Scissors
from tests.world import ZONE, World, enrol
from tests.world_looks import states

NOON = "2027-03-14T12:00"

pytestmark = pytest.mark.slow


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A home whose first dose is due tomorrow; nobody has planned for it yet."""
    made = World(folder=tmp_path)
    made.now = made.now.fromisoformat(NOON).replace(tzinfo=ZONE)
    enrol(made)
    made.services = watched(made.services)
    made.services.lanes()
    yield made
    made.close()


def plan(services: Services) -> None:
    for lane in services.lanes():
        services.plan(lane)


def lanes(services: Services) -> None:
    assert len(services.lanes()) == 1


def look(services: Services) -> None:
    assert look_at(services.watch) is None


@pytest.mark.parametrize("behind", [False, True], ids=["before", "behind"])
@pytest.mark.parametrize(
    ("work", "least_calls"),
    [
        pytest.param(plan, 40, id="planning"),
        pytest.param(lanes, 4, id="the lanes"),
        pytest.param(look, 2, id="the clock's watch"),
    ],
)
def test_a_connection_cut_at_any_call_leaves_a_plan_whole_or_not_made(
    world: World, work: Callable[[Services], None], least_calls: int, *, behind: bool
) -> None:
    scissors = Scissors(engine=world.services.sessions.engine, where=lambda: "here")
    seen = set()
    for at in count(1):
        world.now += timedelta(seconds=31)  # so that the watch has an instant to keep
        scissors.cut_at = None
        with suppress(*STORE_FAULTS), scissors.cutting(Cut(at=at, behind=behind, for_good=False)):
            work(world.services)
        seen.add(tuple(states(world, "dose")))
        if scissors.cut_at is None:
            break
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-14T18:05")

    assert at > least_calls
    assert seen <= {(), ("queued",)}
    found = compare(world.services.sessions, world.gateway)
    assert (found.wrong, found.sent, found.in_doubt, found.over) == ((), 1, 0, 0)
