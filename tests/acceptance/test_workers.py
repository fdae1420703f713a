"""One process on SQLite, many on PostgreSQL; the same tests on both."""

from contextlib import ExitStack
from pathlib import Path

import pytest

from service.records.engine import Sessions, open_engine
from service.records.migrate import upgrade
from tests.faults.fleet import a_worker
from tests.faults.queue import Verdict, fill, verdict
from tests.pg import cluster

RUN = Path(__file__).parent.parent / "run"


@pytest.mark.slow
def test_four_workers_on_postgresql_send_two_thousand_texts_once_each(tmp_path: Path) -> None:
    """O2: 4 workers, 2,000 due texts -> 2,000 submits, no pair."""
    with cluster() as server:
        sessions = Sessions(open_engine(server.url()))
        upgrade(sessions.engine)
        fill(sessions, 2_000)

        with ExitStack() as stack:
            workers = [stack.enter_context(a_worker(server.url(), tmp_path)) for _ in range(4)]
            ended = [worker.wait() for worker in workers]
        found = verdict(sessions, tmp_path)
        sessions.engine.dispose()

    assert ended == [0, 0, 0, 0]
    assert found == Verdict(sent=2_000, unknown=0, lost=0, twice=0, untrue=0, leases=0)


def test_the_tests_are_run_on_both_databases() -> None:
    """O2: the one command of the tests runs them on SQLite, and those of the records on both."""
    words = RUN.read_text(encoding="utf-8")

    assert 'run_tests "${core[@]}" --cov' in words
    assert 'run_tests "${core[@]/#/--ignore=}"\n' in words  # all that the first did not run
    assert "run_tests --database postgresql tests/unit/outbox tests/unit/records" in words
