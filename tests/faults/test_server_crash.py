"""The database server crashes in the thick of the work and comes back: workers go on by themselves.

On PostgreSQL alone: a SQLite file has no server. The server is durable and the test's own.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from threading import Event

import pytest

from service.records.engine import Sessions, open_engine
from service.records.migrate import upgrade
from tests.faults.fleet import a_worker
from tests.faults.ledger import Ledger, compare, network_of
from tests.faults.queue import fill, left
from tests.fresh import on_postgresql
from tests.pg import Cluster, cluster

TEXTS_A_CRASH = 1_000
PATIENCE_S = 60

pytestmark = [pytest.mark.slow, pytest.mark.long]


@pytest.fixture
def server() -> Iterator[Cluster]:
    """A durable server with tables."""
    if not on_postgresql():
        pytest.skip("a SQLite file has no server that could crash")
    with cluster(shared_buffers="128MB") as made:
        engine = open_engine(made.url())
        upgrade(engine)
        engine.dispose()
        yield made


def wait_for(sessions: Sessions, many: int) -> None:
    """Wait until no more than so many texts are queued."""
    pause = Event()
    for _ in range(PATIENCE_S * 100):
        if left(sessions) <= many:
            return
        pause.wait(0.01)
    raise AssertionError(f"more than {many} texts are queued after {PATIENCE_S} s")


@pytest.mark.parametrize("end", [Cluster.stop, Cluster.kill], ids=["immediate", "sigkill"])
def test_workers_outlive_a_crash_of_the_server_and_nothing_is_in_doubt(
    server: Cluster, tmp_path: Path, crashes: int, end: Callable[[Cluster], None]
) -> None:
    """Each worker lives and knows what it handed over, so no text is unknown either."""
    sessions = Sessions(open_engine(server.url()))
    many = TEXTS_A_CRASH * (crashes + 1)
    fill(sessions, many)

    with ExitStack() as stack:
        workers = [stack.enter_context(a_worker(server.url(), tmp_path)) for _ in range(2)]
        for crash in range(crashes):
            wait_for(sessions, many - 300 - crash * TEXTS_A_CRASH)
            end(server)
            server.start(tries=300)
            sessions.engine.dispose()
        ended = [worker.wait() for worker in workers]

    assert ended == [0, 0]
    assert compare(sessions, network_of(tmp_path)) == Ledger(
        sent=many, waiting=0, over=0, doubt_behind_submit=0, doubt_before_submit=0
    )
    sessions.engine.dispose()
