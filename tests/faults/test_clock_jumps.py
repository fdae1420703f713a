"""The machine's clock jumps by a day or more while the scheduler runs, and a person settles it.

A clock that stands back by more than five minutes, or ahead by more than 26 hours, is held in
doubt until it is right again or an administrator says that it is; a day ahead is taken for a
machine that was off for a day.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.jobs import watched
from service.messages.lifecycle import State
from tests.faults.ledger import compare
from tests.web.neighbours import dump_of
from tests.web.reading import post
from tests.web.route_office import administrator
from tests.world import ZONE, World, enrol
from tests.world_looks import states

ONE_SENT = (1, 0, 0, ())

pytestmark = pytest.mark.slow


@pytest.fixture
def running(tmp_path: Path) -> Iterator[World]:
    """The service as it runs, at noon before a home's first dose; a reminder waits."""
    world = World(folder=tmp_path)
    world.now = world.now.fromisoformat("2027-03-13T20:30").replace(tzinfo=ZONE)
    enrol(world)
    world.services = watched(world.services)
    world.tick()
    world.tick("2027-03-14T12:00")
    yield world
    world.close()


def ticks(world: World, *instants: str) -> None:
    for at in instants:
        world.tick(at)


def say_that_it_is_right(world: World) -> None:
    post(administrator(world), "/clock", "/")


def test_a_day_back_after_the_text_left_sends_nothing_and_nothing_again(running: World) -> None:
    """The evening of the text comes a second time, and passes without one."""
    running.tick("2027-03-14T18:00")
    sent, before = running.bodies(), dump_of(running, 1)
    ticks(running, "2027-03-13T18:01", "2027-03-13T18:30")
    during = dump_of(running, 1)
    say_that_it_is_right(running)
    ticks(running, "2027-03-13T18:31", "2027-03-14T12:00", "2027-03-14T18:00", "2027-03-14T19:30")

    assert len(sent) == 1
    assert {table for table in before if before[table] != during[table]} == {"audit"}
    assert running.bodies() == sent
    assert compare(running.services.sessions, running.gateway).ends() == ONE_SENT


def test_a_day_back_before_the_text_left_sends_it_once_in_its_own_evening(running: World) -> None:
    ticks(running, "2027-03-13T12:00", "2027-03-13T18:00")
    meanwhile = running.bodies()
    say_that_it_is_right(running)
    ticks(running, "2027-03-13T18:30", "2027-03-14T17:59")
    early = running.bodies()
    ticks(running, "2027-03-14T18:00", "2027-03-14T18:01")

    assert (meanwhile, early) == ([], [])
    assert compare(running.services.sessions, running.gateway).ends() == ONE_SENT


@pytest.mark.parametrize(
    "wrong",
    [
        pytest.param(("2027-03-15T14:01", "2027-03-15T18:00"), id="26 hours ahead"),
        pytest.param(("2027-03-16T18:00", "2027-03-16T18:30"), id="two days ahead"),
        pytest.param(("2027-03-13T12:00", "2027-03-13T18:00"), id="a day back"),
    ],
)
def test_a_clock_that_is_set_right_again_sends_the_text_in_its_evening(
    running: World, wrong: tuple[str, ...]
) -> None:
    """Nobody has to say anything, nothing has lapsed, and the text leaves once."""
    ticks(running, *wrong)
    meanwhile = running.bodies()
    ticks(running, "2027-03-14T12:30", "2027-03-14T18:00", "2027-03-14T18:30")

    assert meanwhile == []
    assert compare(running.services.sessions, running.gateway).ends() == ONE_SENT


def test_a_day_ahead_and_back_again_sends_the_text_once_and_in_its_evening(running: World) -> None:
    """A day ahead is not doubted and the reminder lapses; back, it is asked about and sent."""
    ticks(running, "2027-03-15T12:00", "2027-03-15T12:05")
    ahead = (running.bodies(), states(running, "dose"))
    ticks(running, "2027-03-14T12:10", "2027-03-14T17:00")
    say_that_it_is_right(running)
    ticks(running, "2027-03-14T17:30", "2027-03-14T18:00", "2027-03-14T18:30")

    found = compare(running.services.sessions, running.gateway)
    assert ahead == ([], [State.EXPIRED])
    assert (found.wrong, found.sent, found.in_doubt) == ((), 1, 0)
    assert [text.at.astimezone(ZONE).isoformat() for text in running.gateway.texts()] == [
        "2027-03-14T18:00:00+03:00"
    ]


def test_days_ahead_that_were_the_truth_go_on_with_the_next_text(running: World) -> None:
    """The reminder has lapsed, and is called so; the repeat leaves on its evening, once."""
    ticks(running, "2027-03-16T17:00", "2027-03-16T17:30")
    meanwhile = running.bodies()
    say_that_it_is_right(running)
    ticks(running, "2027-03-16T17:31", "2027-03-16T18:00", "2027-03-16T18:30")

    assert meanwhile == []
    assert states(running, "dose") == [State.EXPIRED]
    found = compare(running.services.sessions, running.gateway)
    assert (found.wrong, found.sent) == ((), len(running.bodies()))
    assert len(running.bodies()) == 1
