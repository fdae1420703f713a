"""Workers killed in the middle of a batch: what goes out twice, what is lost, what is in doubt.

The usual queue, which leases a batch and takes leases that ran out again, is killed as often.
"""

import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Engine, select, text

from service.clock import system_clock
from service.dispatch.dispatcher import BATCH
from service.messages.lifecycle import State
from service.outbox.overdue import lapse_leases
from service.records.engine import Sessions
from service.records.traffic import MessageRow
from tests.bench.common import Line, Setting, absolute_line
from tests.bench.crash_worker import NAIVE, OURS
from tests.bench.crowd import ASSOCIATION, due_texts, queue_texts, settle_homes
from tests.bench.stock import PgStock, a_copy, pg_stock

TEXTS, KILLS = 40_000, 20
ROOT = Path(__file__).parent.parent.parent
LIMIT_S = 300
LONG = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What became of the texts after so many kills."""

    twice: int
    lost: int
    unknown: int
    kills: int


def crash(setting: Setting) -> Iterator[Line]:
    """Give the lines of twenty kills."""
    with pg_stock() as stock:
        yield from lines(stock, setting.seed, texts=TEXTS, kills=KILLS)


def lines(stock: PgStock, seed: int, *, texts: int, kills: int) -> Iterator[Line]:
    """Give the lines for so many texts and kills."""
    stock.make("due", lambda engine: _fill(engine, texts))
    usual = _killed(stock, NAIVE, texts, kills, seed)
    ours = _killed(stock, OURS, texts, kills, seed)
    notes = [f"{texts} texts", f"{ours.kills} kills"]
    usual_notes = [f"leased and resent: {usual.twice} after {usual.kills} kills"]
    yield absolute_line("crash.sent_twice", ours.twice, goal="==0", notes=notes + usual_notes)
    yield absolute_line("crash.lost", ours.lost, goal="==0", notes=notes)
    yield absolute_line(
        "crash.unknown_per_kill",
        ours.unknown / max(ours.kills, 1),
        goal=f"<={BATCH}",
        notes=notes,
    )


def _fill(engine: Engine, texts: int) -> None:
    settle_homes(engine, texts)
    queue_texts(engine, *due_texts(texts, texts))


def _killed(stock: PgStock, how: str, texts: int, kills: int, seed: int) -> Found:
    """Kill a worker after 10 to 250 ms again and again, then let the last one end."""
    with a_copy(stock, "due") as sessions, TemporaryDirectory() as folder:
        with sessions.begin() as session:  # the usual queue keeps its lease in the row
            session.execute(text("ALTER TABLE message ADD lease_until timestamptz"))
        log, done = Path(folder) / "log", 0
        url = sessions.engine.url.render_as_string(hide_password=False)
        for turn in range(kills):
            done += _one(url, how, log, wait_s=(10 + seed * (turn + 1) % 241) / 1000)
        _one(url, how, log, wait_s=None)
        return _found(sessions, log, texts, done)


def _one(url: str, how: str, log: Path, *, wait_s: float | None) -> bool:
    """Start a worker; say whether it was killed before it ended."""
    command = [sys.executable, "-m", "tests.bench.crash_worker", url, how, str(log), str(BATCH)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE) as worker:  # noqa: S603 -- our own program, with our own words
        assert worker.stdout is not None
        if worker.stdout.readline() != b"ready\n":
            raise SystemExit("A worker did not start.")
        try:
            worker.wait(LIMIT_S if wait_s is None else wait_s)
        except subprocess.TimeoutExpired:
            worker.send_signal(signal.SIGKILL)
            if wait_s is None:
                raise
            return True
        if worker.returncode:
            raise SystemExit(f"A worker ended with {worker.returncode}.")
        return False


def _found(sessions: Sessions, log: Path, texts: int, kills: int) -> Found:
    with sessions.begin(alone=ASSOCIATION) as session:
        lapse_leases(session, ASSOCIATION, now=system_clock() + LONG)
    with sessions.read() as session:
        rows = session.execute(select(MessageRow.number, MessageRow.state)).all()
    left = Counter(log.read_text(encoding="ascii").split())
    unknown = {number for number, state in rows if state is State.UNKNOWN}
    assert len(rows) == texts
    return Found(
        twice=sum(times - 1 for times in left.values()),
        lost=sum(number not in left and number not in unknown for number, _ in rows),
        unknown=len(unknown),
        kills=kills,
    )
