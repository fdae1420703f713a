"""Texts claimed and settled through SQLAlchemy Core, against the driver alone.

Both run the queue's own code with the same statements; nothing is written, looked at or sent.
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from time import perf_counter
from typing import Any, cast

from sqlalchemy import Engine

from gateway_adapters.contract import Accepted
from service.clock import system_clock
from service.dispatch.dispatcher import BATCH
from service.outbox.claim import Claim, claim_due
from service.outbox.receipts import settle
from service.records.engine import Session
from tests.bench.common import Line, Setting, interleave, ratio_line
from tests.bench.crowd import ASSOCIATION, ROUTE, due_texts, queue_texts, settle_homes
from tests.bench.driver_alone import driver_session
from tests.bench.sending import check_records
from tests.bench.stock import PG, Stock, a_copy, lite_stock, pg_stock

ROUNDS = 5
TEXTS = 5_000
BODY = "In furrow, not on leaves; cover. Wash hands after. Done? Reply A1"
NAMES = {PG: ("orm.pg.core_arrays_vs_driver", ">=0.8")}
LITE_LINE = ("orm.sqlite.core_vs_driver", ">=0.4")
Turn = Callable[[], AbstractContextManager[Session]]


def orm_pg(setting: Setting) -> Iterator[Line]:
    """Give the line on PostgreSQL."""
    with pg_stock() as stock:
        yield line(stock, setting.rounds_or(ROUNDS), texts=TEXTS)


def orm_sqlite(setting: Setting) -> Iterator[Line]:
    """Give the line on SQLite."""
    with lite_stock() as stock:
        yield line(stock, setting.rounds_or(ROUNDS), texts=TEXTS)


def line(stock: Stock, rounds: int, *, texts: int) -> Line:
    """Give the line for so many texts a run."""
    stock.make("due", lambda engine: _fill(engine, texts))
    runs = {"core": partial(_core, stock, texts), "driver": partial(_driver, stock, texts)}
    seen = interleave(rounds, runs)
    name, goal = NAMES.get(stock.kind, LITE_LINE)
    notes = [f"batches of {BATCH}"]
    return ratio_line(name, seen["core"], seen["driver"], goal=goal, unit="/s", notes=notes)


def _fill(engine: Engine, texts: int) -> None:
    settle_homes(engine, texts)
    queue_texts(engine, *due_texts(texts, texts))


def _core(stock: Stock, texts: int) -> float:
    with a_copy(stock, "due") as sessions:
        rate = _drained(sessions.begin, texts)
        check_records(sessions, texts)
    return rate


def _driver(stock: Stock, texts: int) -> float:
    with a_copy(stock, "due") as sessions:
        with sessions.engine.connect() as connection:
            raw: Any = connection.connection.driver_connection
            alone = driver_session(sessions.engine, raw)
            rate = _drained(cast("Turn", alone.turn), texts)
        check_records(sessions, texts)
    return rate


def _drained(turn: Turn, texts: int) -> float:
    """Claim and settle until nothing is queued; return texts a second."""
    claim: Claim | None = None
    began = perf_counter()
    while True:
        with turn() as session:
            now = system_clock()
            if claim is not None:
                answers = [Accepted(gateway_ids=("g" + item.token,)) for item in claim.messages]
                settle(session, ASSOCIATION, claim, answers, now=now)
            claim = claim_due(
                session, ASSOCIATION, ROUTE, now=now, limit=BATCH, render=lambda _: BODY
            )
        if claim is None:
            return texts / (perf_counter() - began)
