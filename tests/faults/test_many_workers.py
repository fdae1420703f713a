"""Many workers at one queue, and workers that are killed or frozen: none lost, none sent twice."""

from collections.abc import Iterator
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Event

import pytest

from service.records.engine import Sessions, open_engine
from service.records.faults import STORE_FAULTS
from tests.faults.fleet import Worker, a_worker
from tests.faults.queue import Verdict, fill, give_up_leases, in_hand, left, verdict
from tests.fresh import forget_database, fresh_database

BATCH = 100  # texts that a worker has in hand at most
PATIENCE_S = 60
SEED = 20_270_315

pytestmark = [pytest.mark.slow, pytest.mark.long]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A database with a queue, and the network's folder."""

    url: str
    sessions: Sessions
    network: Path

    def worker(self, stack: ExitStack, *, lease_s: float = 120) -> Worker:
        """Start a worker."""
        return stack.enter_context(a_worker(self.url, self.network, lease_s=lease_s))

    def verdict(self) -> Verdict:
        """Say what became of the texts."""
        return verdict(self.sessions, self.network)

    def wait_for(self, many: int) -> None:
        """Wait until no more than so many texts are queued."""
        pause = Event()
        for _ in range(PATIENCE_S * 100):
            if left(self.sessions) <= many:
                return
            pause.wait(0.01)
        raise AssertionError(f"{left(self.sessions)} texts are queued after {PATIENCE_S} s")


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """A database of the run's kind, without a text."""
    url = fresh_database(tmp_path)
    sessions = Sessions(open_engine(url))
    yield Place(url=url, sessions=sessions, network=tmp_path / "network")
    sessions.engine.dispose()
    forget_database(tmp_path)


def test_four_workers_send_two_thousand_texts_once_each(place: Place) -> None:
    fill(place.sessions, 2_000)

    with ExitStack() as stack:
        workers = [place.worker(stack) for _ in range(4)]
        ended = [worker.wait() for worker in workers]

    assert ended == [0, 0, 0, 0]
    assert place.verdict() == Verdict(sent=2_000, unknown=0, lost=0, twice=0, untrue=0, leases=0)


def test_workers_killed_at_any_moment_lose_nothing_and_double_nothing(
    place: Place, kills: int
) -> None:
    """What was in a killed worker's hand is in doubt: one batch at most for each kill."""
    many = kills * 2 * BATCH
    fill(place.sessions, many)

    with ExitStack() as stack:
        for kill in range(kills):
            worker = place.worker(stack)
            place.wait_for(max(many - BATCH - kill * 2 * BATCH, 0))
            _some_time(kill)
            worker.kill()
        assert in_hand(place.sessions) <= kills * BATCH
        give_up_leases(place.sessions)
        assert place.worker(stack).wait() == 0

    found = place.verdict()
    assert (found.lost, found.twice, found.untrue, found.leases) == (0, 0, 0, 0)
    assert found.sent + found.unknown == many
    assert found.unknown <= kills * BATCH


def test_a_worker_frozen_for_longer_than_its_lease_sends_nothing_more(
    place: Place, freezes: int
) -> None:
    """Meanwhile another has made its texts unknown, and a person may have acted on that."""
    many = freezes * 2 * BATCH
    fill(place.sessions, many)

    with ExitStack() as stack:
        for freeze in range(freezes):
            worker = place.worker(stack, lease_s=2)
            place.wait_for(max(many - BATCH - freeze * 2 * BATCH, 0))
            _some_time(freeze)
            worker.freeze()
            with suppress(*STORE_FAULTS):  # frozen with the file in hand, nobody can give it up
                give_up_leases(place.sessions)
            before = place.verdict()
            Event().wait(2.5)  # longer than the lease: the one time here that has to pass
            worker.thaw()
            worker.kill() if freeze % 2 else worker.wait()
            assert place.verdict().twice == before.twice == 0
        give_up_leases(place.sessions)
        assert place.worker(stack).wait() == 0

    found = place.verdict()
    assert (found.lost, found.twice, found.untrue, found.leases) == (0, 0, 0, 0)
    assert found.sent + found.unknown == many


def _some_time(turn: int) -> None:
    """Wait for 0 to 60 ms, another time each turn: kills should fall anywhere in a batch."""
    Event().wait((SEED * (turn + 1) % 61) / 1000)
