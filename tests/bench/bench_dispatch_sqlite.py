"""Due texts sent and their outcomes stored in a SQLite file, against a task queue on one.

The service waits for the disk at each commit; the second queue does not, and may lose its last
jobs with the power.
"""

from collections.abc import Iterator
from functools import partial
from importlib.util import find_spec

from sqlalchemy import Engine

from service.dispatch.dispatcher import BATCH
from tests.bench.common import Line, Setting, Skipped, interleave, ratio_line
from tests.bench.crowd import due_texts, queue_texts, settle_homes
from tests.bench.sending import send_all
from tests.bench.stock import LiteStock, a_copy, lite_stock
from tests.bench.task_queues import huey_rate

ROUNDS = 5
TEXTS, JOBS = 10_000, 2_000
THREADS = (1, 4)
WAYS = (("fsync", True, ">=5"), ("nofsync", False, ">=1.5"))


def dispatch_sqlite(setting: Setting) -> Iterator[Line | Skipped]:
    """Give the lines of the dispatcher against a task queue that waits for the disk or does not."""
    with lite_stock() as stock:
        yield from lines(stock, setting.rounds_or(ROUNDS), texts=TEXTS, jobs=JOBS)


def lines(stock: LiteStock, rounds: int, *, texts: int, jobs: int) -> Iterator[Line | Skipped]:
    """Give the lines, for so many texts and jobs a run."""
    if find_spec("huey") is None:
        for way, _, _ in WAYS:
            yield Skipped(name=f"dispatch.sqlite.vs_task_queue_{way}", needs="huey")
        return

    def fill(engine: Engine) -> None:
        settle_homes(engine, texts)
        queue_texts(engine, *due_texts(texts, texts))

    stock.make("due", fill)
    runs = {"dispatcher": partial(_product, stock, texts)} | {
        f"{way}, {many} threads": partial(huey_rate, jobs, fsync=fsync, workers=many)
        for way, fsync, _ in WAYS
        for many in THREADS
    }
    seen = interleave(rounds, runs)
    for way, _, goal in WAYS:
        queues = [seen[f"{way}, {many} threads"] for many in THREADS]
        best = [max(round_) for round_ in zip(*queues, strict=True)]
        yield ratio_line(
            f"dispatch.sqlite.vs_task_queue_{way}",
            seen["dispatcher"],
            best,
            goal=goal,
            unit="/s",
            notes=[f"batches of {BATCH}"],
        )


def _product(stock: LiteStock, texts: int) -> float:
    with a_copy(stock, "due") as sessions:
        return send_all(sessions, texts)
