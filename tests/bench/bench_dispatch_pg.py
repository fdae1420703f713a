"""Due texts sent and their outcomes stored on PostgreSQL, against a task queue and the server.

The floor under all is what the server takes for the same rows: the two updates of a text, its two
events, its lease and its dose's mark, made inside the server with nothing written, looked up or
sent. The bare loop only moves a batch of texts to another state.
"""

from collections.abc import Iterator
from functools import partial
from importlib.util import find_spec
from time import perf_counter
from typing import Any

from sqlalchemy import Engine

from service.dispatch.dispatcher import BATCH
from tests.bench.common import Line, Setting, Skipped, interleave, ratio_line
from tests.bench.crowd import due_texts, queue_texts, settle_homes
from tests.bench.sending import check_records, send_all
from tests.bench.stock import PgStock, a_copy, pg_stock
from tests.bench.task_queues import procrastinate_rate

ROUNDS = 5
TEXTS, JOBS = 10_000, 2_000
AT_ONCE = (1, 10)
BATCHES = f"batches of {BATCH}"
_DUE = """SELECT id FROM message WHERE state = 'queued' AND route_id = 1 AND due_at <= now()
  ORDER BY due_at, id LIMIT %(batch)s FOR UPDATE SKIP LOCKED"""
_MOST = {"batch": BATCH}
_BARE = f"""UPDATE message SET state = 'submitted' WHERE id IN ({_DUE})
  RETURNING id, number, kind, language, fields"""  # noqa: S608 -- both texts stand here
_CLAIM = f"""WITH d AS ({_DUE}),
  m AS (UPDATE message SET state = 'claimed', changed_at = now(), body = repeat('x', 150),
    segments = 1, token = substr(sha256(message.id::text::bytea)::text, 3, 24)
    FROM d WHERE message.id = d.id RETURNING message.id),
  e AS (INSERT INTO message_event (association_id, message_id, at, event, state, detail)
    SELECT 1, id, now(), 'claim', 'claimed', '' FROM m),
  c AS (INSERT INTO claim (association_id, route_id, expires_at, messages)
    SELECT 1, 1, now(), json_build_object('ids', json_agg(id)) FROM m HAVING count(*) > 0)
  SELECT id FROM m"""  # noqa: S608 -- both texts stand here
_RECORD = """WITH m AS (UPDATE message SET state = 'submitted', changed_at = now(),
    gateway_id = 'g' || token WHERE id = ANY(%(ids)s) RETURNING id),
  e AS (INSERT INTO message_event (association_id, message_id, at, event, state, detail)
    SELECT 1, id, now(), 'accept', 'submitted', '' FROM m),
  d AS (UPDATE dose SET told = true FROM message_dose l, m
    WHERE l.message_id = m.id AND dose.id = l.dose_id AND NOT told)
  DELETE FROM claim"""


def dispatch_pg(setting: Setting) -> Iterator[Line | Skipped]:
    """Give the lines of the dispatcher against a task queue and against the server alone."""
    with pg_stock() as stock:
        yield from lines(stock, setting.rounds_or(ROUNDS), texts=TEXTS, jobs=JOBS)


def lines(stock: PgStock, rounds: int, *, texts: int, jobs: int) -> Iterator[Line | Skipped]:
    """Give the lines, for so many texts and jobs a run."""

    def fill(engine: Engine) -> None:
        settle_homes(engine, texts)
        queue_texts(engine, *due_texts(texts, texts))

    stock.make("due", fill)
    runs = {
        "dispatcher": partial(_product, stock, texts),
        "same writes": partial(_same_writes, stock, texts),
        "bare update": partial(_bare_update, stock, texts),
    }
    has_queue = find_spec("procrastinate") is not None
    if has_queue:
        dsn = stock.dsn(stock.empty("jobs"))
        runs |= {
            f"queue, {many} at once": partial(procrastinate_rate, dsn, jobs, many)
            for many in AT_ONCE
        }
    seen = interleave(rounds, runs)
    ours = seen["dispatcher"]
    if has_queue:
        queues = [seen[f"queue, {many} at once"] for many in AT_ONCE]
        best = [max(round_) for round_ in zip(*queues, strict=True)]
        yield ratio_line(
            "dispatch.pg.vs_task_queue", ours, best, goal=">=20", unit="/s", notes=[BATCHES]
        )
    else:
        yield Skipped(name="dispatch.pg.vs_task_queue", needs="procrastinate")
    for name, against, goal in (
        ("vs_same_writes", "same writes", ">=0.6"),
        ("vs_bare_update", "bare update", ">=0.25"),
    ):
        yield ratio_line(
            f"dispatch.pg.{name}", ours, seen[against], goal=goal, unit="/s", notes=[BATCHES]
        )


def _product(stock: PgStock, texts: int) -> float:
    with a_copy(stock, "due") as sessions:
        return send_all(sessions, texts)


def _same_writes(stock: PgStock, texts: int) -> float:
    with a_copy(stock, "due") as sessions:
        with sessions.engine.connect() as connection:
            raw: Any = connection.connection.driver_connection
            began = perf_counter()
            while ids := [row[0] for row in raw.execute(_CLAIM, _MOST, prepare=True)]:
                raw.commit()
                raw.execute(_RECORD, {"ids": ids}, prepare=True)
            raw.commit()
            took_s = perf_counter() - began
        check_records(sessions, texts)
        return texts / took_s


def _bare_update(stock: PgStock, texts: int) -> float:
    with a_copy(stock, "due") as sessions, sessions.engine.connect() as connection:
        raw: Any = connection.connection.driver_connection
        began, moved = perf_counter(), 0
        while rows := raw.execute(_BARE, _MOST, prepare=True).fetchall():
            moved += len(rows)
            raw.commit()
        took_s = perf_counter() - began
        if moved != texts:
            raise SystemExit(f"{moved} texts were moved, not {texts}.")
        return texts / took_s
