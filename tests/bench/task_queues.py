"""What an engineer would take instead: a general task queue with one job a text.

A job writes the same text with the same catalogue and hands it to the same gateway. No record of
the text is kept, nobody is asked again before the send, and jobs are deleted when done.
"""

import asyncio
import logging
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Event
from time import perf_counter
from typing import Any

from gateway_adapters.contract import Outgoing
from gateway_adapters.segments import split
from service.messages.render import Reader, render
from tests.bench.crowd import values_of
from tests.bench.sending import Acceptor
from tests.fresh import shipped_texts

LATE = datetime(2099, 1, 1, tzinfo=UTC)
PATIENCE_S = 300


def sender(gateway: Acceptor) -> Callable[[int], None]:
    """Return what a job does with the number of its text."""
    texts = shipped_texts()

    def send(number: int) -> None:
        reader = Reader(language="en" if number % 3 else "sw", fallback="en")
        body = render(texts, "dose", values_of(number), reader=reader).text
        text = Outgoing(
            token=f"{number:024}",
            to=f"+255{100_000_000 + number}",
            sender="15050",
            text=body,
            segments=split(body),
            valid_until=LATE,
        )
        gateway.submit([text], deadline=LATE)

    return send


def procrastinate_rate(dsn: str, many: int, concurrency: int) -> float:
    """Return the jobs a second of procrastinate on an empty PostgreSQL database."""
    library: Any = import_module("procrastinate")
    logging.getLogger("procrastinate").setLevel(logging.ERROR)
    gateway = Acceptor()
    send = sender(gateway)

    async def run() -> float:
        connector = library.PsycopgConnector(conninfo=dsn, min_size=2, max_size=concurrency + 4)
        app = library.App(connector=connector)

        @app.task(name="send")  # type: ignore[untyped-decorator]  # -- loaded by its name
        async def job(number: int) -> None:
            send(number)

        async with app.open_async():
            await app.connector.execute_query_async("DROP SCHEMA public CASCADE")
            await app.connector.execute_query_async("CREATE SCHEMA public")
            await app.schema_manager.apply_schema_async()
            await job.batch_defer_async(*[{"number": number} for number in range(many)])
            began = perf_counter()
            await app.run_worker_async(
                wait=False,
                concurrency=concurrency,
                install_signal_handlers=False,
                listen_notify=False,
                delete_jobs="successful",
            )
            return many / (perf_counter() - began)

    rate = asyncio.run(run())
    return _checked(rate, gateway, many)


def huey_rate(many: int, *, fsync: bool, workers: int) -> float:
    """Return the jobs a second of huey on a SQLite file, with so many threads."""
    library: Any = import_module("huey")
    logging.getLogger("huey").setLevel(logging.ERROR)
    gateway = Acceptor()
    send = sender(gateway)
    with TemporaryDirectory(prefix="furrowbell-bench-") as folder:
        queue = library.SqliteHuey(
            "q", filename=str(Path(folder) / "h.db"), fsync=fsync, results=False
        )
        done = Event()

        @queue.task()  # type: ignore[untyped-decorator]  # -- loaded by its name
        def job(number: int) -> None:
            send(number)
            if len(gateway.tokens) >= many:
                done.set()

        with queue.storage.db(commit=True) as cursor:  # queueing is not measured
            cursor.executemany(
                "insert into task(queue, data, priority) values (?, ?, ?)",
                [
                    ("q", sqlite3.Binary(queue.serialize_task(job.s(number))), 0.0)
                    for number in range(many)
                ],
            )
        consumer = queue.create_consumer(
            workers=workers, periodic=False, check_worker_health=False, initial_delay=0.001
        )
        began = perf_counter()
        consumer.start()
        done.wait(PATIENCE_S)
        rate = many / (perf_counter() - began)
        consumer.stop(graceful=True)
        return _checked(rate, gateway, many)


def _checked(rate: float, gateway: Acceptor, many: int) -> float:
    if len(set(gateway.tokens)) != many:
        raise SystemExit(f"{len(set(gateway.tokens))} jobs were done, not {many}.")
    return rate
