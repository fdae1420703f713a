"""`furrowbell work` and `web` as an operator starts and ends them."""

import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path
from time import monotonic
from typing import IO

import pytest

from service.records.engine import Sessions, open_engine
from service.records.workers import WorkerRow
from tests.faults.queue import Verdict, fill, left, verdict
from tests.fresh import forget_database, fresh_database
from tests.web.staff import SECRET_KEY

ROOT = Path(__file__).parent.parent.parent
PATIENCE_S = 60
DRAINED_S = 10
TEXTS = 6_000  # a minute at the route's rate
SETTINGS = """\
[route]
adapter = "fake"
sender = "15050"
rate_per_s = {rate}
association = "a1"
settings = {{ folder = "{folder}/network" }}
"""

pytestmark = pytest.mark.slow


@contextmanager
def a_process(words: list[str], environment: Mapping[str, str]) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-m", "service.cli.main", *words]
    with subprocess.Popen(  # noqa: S603 -- our own command, with our own words
        command, cwd=ROOT, env=dict(environment), stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            yield process
        finally:
            if process.poll() is None:
                process.kill()


def first_line(output: IO[str] | None) -> str:
    assert output is not None
    return output.readline()


def ended(process: subprocess.Popen[str]) -> tuple[int, float]:
    """Ask a process to end; return its status, and the seconds that it took."""
    began = monotonic()
    process.send_signal(signal.SIGTERM)
    return process.wait(PATIENCE_S), monotonic() - began


@pytest.fixture
def environment(tmp_path: Path) -> Iterator[dict[str, str]]:
    """What the commands are started with; the database is the run's kind, and empty."""
    file = tmp_path / "furrowbell.toml"
    file.write_text(SETTINGS.format(folder=tmp_path, rate=100), encoding="utf-8")
    yield {
        "FURROWBELL_SETTINGS": str(file),
        "FURROWBELL_DATABASE_URL": fresh_database(tmp_path),
        "FURROWBELL_SECRET_KEY": SECRET_KEY,
        "PATH": "/usr/bin:/bin",
    }
    forget_database(tmp_path)


def test_two_at_work_and_one_for_pages_end_when_asked_and_leave_nothing_in_hand(
    environment: dict[str, str], tmp_path: Path
) -> None:
    """Asked in the thick of it: what was begun is written down, the rest stays in the queue."""
    sessions = Sessions(open_engine(environment["FURROWBELL_DATABASE_URL"]))
    fill(sessions, TEXTS)

    with ExitStack() as stack:
        work = [stack.enter_context(a_process(["work"], environment)) for _ in range(2)]
        web = stack.enter_context(a_process(["web", "--port", "0"], environment))
        said = [first_line(process.stdout) for process in (*work, web)]
        until = monotonic() + PATIENCE_S
        while left(sessions) == TEXTS and monotonic() < until:
            pass
        endings = [ended(process) for process in (*work, web)]

    assert [line.split(" ")[0] for line in said] == ["At", "At", "The"]
    assert [status for status, _ in endings] == [0, 0, 0]
    assert max(took_s for _, took_s in endings) < DRAINED_S
    found = verdict(sessions, tmp_path / "network")
    assert found == Verdict(sent=found.sent, unknown=0, lost=0, twice=0, untrue=0, leases=0)
    assert 0 < found.sent == TEXTS - left(sessions) < TEXTS
    with sessions.read() as session:
        rows = session.query(WorkerRow).all()
    assert [(row.kind.value, row.ended_at is not None) for row in rows] == [
        *[("work", True)] * 2,
        ("web", True),
    ]
    sessions.engine.dispose()
