"""Our own faults: a database that cannot store, a process that is killed between two steps."""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest
from sqlalchemy import text as sql
from sqlalchemy.exc import DBAPIError

from service.messages.lifecycle import State
from service.records.traffic import InboundRow
from tests.gateways.far_ends import HTTP, MODEM, SMPP, far_end
from tests.gateways.far_world import EVENING, FarWorld, far_world, lane_over, queue, world_on
from tests.world import World
from tests.world_looks import rows

ROOT = Path(__file__).parents[2]
TEXT = "Kesho: shamba A, lita 4."


class KilledError(Exception):
    """Stands for an end of our process at a point of its work."""


@contextmanager
def without_room(far: FarWorld) -> Iterator[None]:
    """Let the database be unable to store a text for a block."""

    def rename(old: str, new: str) -> None:
        with far.services.sessions.begin() as session:
            session.execute(sql(f"ALTER TABLE {old} RENAME TO {new}"))

    rename("inbound", "away")
    yield
    rename("away", "inbound")


@contextmanager
def killed_after_the_commit(far: FarWorld) -> Iterator[None]:
    """Let our process end each time that a text has been stored, before the gateway is told."""

    def end(point: str) -> None:
        if point == "after-receipt":
            raise KilledError

    usual, far.world.mark = far.world.mark, end
    yield
    far.world.mark = usual


def texts_in(far: FarWorld) -> list[str]:
    """Return the texts from phones that the records hold."""
    return [row.text for row in rows(far.world, InboundRow)]


@pytest.mark.parametrize(
    ("trouble", "stored"),
    [
        pytest.param(without_room, [], id="cannot store"),
        pytest.param(killed_after_the_commit, ["HELP"], id="killed after the commit"),
    ],
)
@pytest.mark.parametrize("make", [SMPP, MODEM])
def test_what_was_not_acknowledged_comes_again_and_counts_once(
    tmp_path: Path,
    make: str,
    trouble: Callable[[FarWorld], AbstractContextManager[None]],
    stored: list[str],
) -> None:
    """F25, C10: never acknowledged before it is stored; it comes again, and is there once."""
    with far_world(tmp_path, make) as far:
        far.gateway.check(deadline=far.world.clock().replace(second=30))
        with trouble(far):
            far.say("HELP")
            with pytest.raises((DBAPIError, KilledError)):
                far.take_in(wait_s=20)
            yes = [item for item in far.peer.heard("deliver_sm_resp") if item["status"] == 0]
        meanwhile = texts_in(far)
        assert far.take_in(wait_s=20) == 1
        if make == SMPP:
            answers = [item["status"] for item in far.peer.wait_for("deliver_sm_resp", count=2)]
            assert answers == [0x64, 0]

        assert yes == []
        assert meanwhile == stored
        assert texts_in(far) == ["HELP"]


def test_a_post_that_could_not_be_stored_is_not_answered_with_yes(tmp_path: Path) -> None:
    """F25, C10: 503 while the database is away; brought again it is stored, and once."""
    document = {"type": "text", "event": "e1", "from": "+255100000001", "to": "1", "text": "HELP"}
    with far_world(tmp_path, HTTP) as far:
        with without_room(far):
            away = far.post(document)
        back = [*far.post(document), *far.post(document)]

        assert away == [503]
        assert back == [200, 200]
        assert texts_in(far) == ["HELP"]


@pytest.mark.parametrize(
    ("make", "slow", "taken"),
    [
        pytest.param(SMPP, {"lateMs": 20_000}, "submit", id="smpp"),
        pytest.param(MODEM, {"answer_ms": 2_000}, "sent", id="modem"),
        pytest.param(HTTP, {"slowMs": 20_000}, "submit", id="http"),
    ],
)
def test_a_process_killed_behind_a_text_leaves_a_doubt(
    tmp_path: Path, make: str, slow: Mapping[str, object], taken: str
) -> None:
    """F26, C4: killed between the submit and the commit: unknown after the lease, sent once."""
    world = World(folder=tmp_path, now=EVENING)
    lane = lane_over(world, make, world.gateway)
    queue(world, lane, TEXT)
    world.leave()
    with far_end(make, slow) as far:
        address, settings = world.services.settings.database_url, json.dumps(dict(far.settings))
        victim = subprocess.Popen(  # noqa: S603 -- our own module
            [
                *(sys.executable, "-m", "tests.gateways.far_victim"),
                *(address, str(lane.route_id), make, settings),
            ],
            cwd=ROOT,
        )
        try:
            far.peer.wait_for(taken)
        finally:
            victim.kill()
            victim.wait()
        far.peer.tell(**dict.fromkeys(slow, 0))
        with world_on(tmp_path, far) as there:
            found = there.states()
            for _ in range(6):
                there.later(minutes=10)
                there.step()

            assert found == [State.CLAIMED]
            assert there.states() == [State.UNKNOWN]
            assert there.steps()[:2] == ["claim", "lose"]
            assert there.arrived() == [TEXT]
