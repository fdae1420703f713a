"""Texts that all come due at one instant, with a ticker every 200 ms.

Beside it, the usual way: a scheduler with one job a text. A job that comes more than a second late
is dropped by its default.
"""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, timedelta
from threading import Event
from typing import cast

from apscheduler.events import EVENT_JOB_EXECUTED, EVENT_JOB_MISSED, JobEvent
from apscheduler.schedulers.background import BackgroundScheduler

from service.bootstrap import Services
from service.clock import system_clock
from service.jobs import Job, start_ticker
from tests.bench.common import Line, Setting, absolute_line
from tests.bench.crowd import Texts, queue_texts, settle_homes
from tests.bench.sending import Acceptor, check_records, dispatcher
from tests.bench.stock import PgStock, a_copy, pg_stock, tidy_up
from tests.bench.task_queues import sender

ROUNDS = 3
TEXTS = 10_000
TICK_S = 0.2
PATIENCE_S = 120
SEND_S = 0.002  # what a fast gateway takes for a text
A_JOB = timedelta(milliseconds=1)  # adding one takes less
AHEAD = timedelta(seconds=3)


def burst(setting: Setting) -> Iterator[Line]:
    """Give the lines of the slowest round, and what a scheduler with a job a text drops."""
    with pg_stock() as stock:
        yield from lines(stock, setting.rounds_or(ROUNDS), texts=TEXTS)


def lines(stock: PgStock, rounds: int, *, texts: int) -> Iterator[Line]:
    """Give the lines for so many texts."""
    stock.make("homes", lambda engine: settle_homes(engine, texts))
    seen = [_round(stock, texts) for _ in range(rounds)]
    notes = [f"{texts} texts", f"ticker {TICK_S} s", f"the worst of {rounds} rounds"]
    worst_s, dropped = max(late for late, _ in seen), max(lost for _, lost in seen)
    yield absolute_line("burst.seconds", worst_s, goal="<=1.0", unit="s", notes=notes)
    yield absolute_line("burst.dropped", dropped, goal="==0", notes=notes)
    for name, wait_s in (("instant", 0.0), ("2ms", SEND_S)):
        yield absolute_line(
            f"burst.a_job_a_text.{name}.dropped",
            _jobs_dropped(texts, wait_s),
            goal=None,
            notes=[f"{texts} date jobs, in memory", f"sending takes {wait_s * 1000:g} ms"],
        )


def _round(stock: PgStock, texts: int) -> tuple[float, int]:
    """Return the seconds from the instant to the last outcome, and how many never left."""
    with a_copy(stock, "homes") as sessions:
        due_at = system_clock() + AHEAD + A_JOB * texts
        evening = Texts(count=texts, evening=due_at.date(), due_at=due_at, spread=timedelta())
        queue_texts(sessions.engine, evening)
        tidy_up(sessions.engine)
        gateway, done = Acceptor(), Event()
        sending = dispatcher(sessions, gateway)

        def tick(_: Services) -> None:
            sending.run_once()
            if len(gateway.tokens) >= texts:
                done.set()

        if system_clock() >= due_at:
            raise SystemExit("The texts were not stored before they came due.")
        with _quiet():
            job = Job(id="send", every_s=TICK_S, run=tick)
            ticker = start_ticker(cast("Services", None), [job])  # the job asks nothing of them
            done.wait(PATIENCE_S)
            late_s = (system_clock() - due_at).total_seconds()
            ticker.shutdown()
        left = len(set(gateway.tokens))
        if left == texts:
            check_records(sessions, texts)
    return late_s, texts - left


def _jobs_dropped(texts: int, wait_s: float) -> int:
    """Return how many of so many jobs of one instant are dropped."""
    gateway, over, ended = Acceptor(), Event(), 0
    send, pause = sender(gateway), Event()

    def job(number: int) -> None:
        if wait_s:
            pause.wait(wait_s)
        send(number)

    def note(_: JobEvent) -> None:
        nonlocal ended
        ended += 1
        if ended >= texts:
            over.set()

    with _quiet():
        scheduler = BackgroundScheduler(timezone=UTC)
        scheduler.add_listener(note, EVENT_JOB_MISSED | EVENT_JOB_EXECUTED)
        scheduler.start(paused=True)
        due_at = system_clock() + AHEAD + A_JOB * texts
        for number in range(texts):
            scheduler.add_job(job, "date", run_date=due_at, args=[number])
        if system_clock() >= due_at:
            raise SystemExit("Adding the jobs took longer than was foreseen.")
        scheduler.resume()
        over.wait(PATIENCE_S)
        scheduler.shutdown()
    return texts - len(set(gateway.tokens))


@contextmanager
def _quiet() -> Iterator[None]:
    log = logging.getLogger("apscheduler")
    before = log.level
    log.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        log.setLevel(before)
