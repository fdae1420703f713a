"""What a text with its events and what a dose take, in bytes: rows, indexes, log, SQLite file."""

from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Engine, text

from service.planning.bulk import plan_all
from tests.bench.common import Line, Setting, absolute_line
from tests.bench.crowd import due_texts, queue_texts, settle_homes
from tests.bench.estate import ASSOCIATION, NOW, Estate
from tests.bench.life import OPENS_ON
from tests.bench.sending import send_all
from tests.bench.stock import LiteStock, PgStock, a_copy, lite_stock, pg_stock, tidy_up

TEXTS, PLOTS = 20_000, 10_000
_SIZES = text("SELECT pg_relation_size(:name), pg_indexes_size(:name)")
_AT = text("SELECT pg_current_wal_lsn()::text")
_SINCE = text("SELECT pg_current_wal_lsn() - CAST(:at AS pg_lsn)")


def growth(setting: Setting, estate: Estate) -> Iterator[Line]:
    """Give a line for each figure; no goal is set for any."""
    del setting
    with pg_stock() as stock:
        yield from text_lines(stock, texts=TEXTS)
    with lite_stock() as lite:
        yield file_line(lite, texts=TEXTS)
    yield from dose_lines(estate, plots=PLOTS)


def text_lines(stock: PgStock, *, texts: int) -> Iterator[Line]:
    """Give the lines of a text and its two events on PostgreSQL."""
    stock.make("due", lambda engine: _fill(engine, texts))
    with a_copy(stock, "due") as sessions:
        engine = sessions.engine
        for table in ("message", "message_dose"):
            yield from _table_lines(engine, table, f"{table}.queued", texts)
        began = _log_at(engine)
        send_all(sessions, texts)
        yield _line("text.sent.log", _log_since(engine, began), texts)
        tidy_up(engine)
        for table in ("message", "message_event"):
            yield from _table_lines(engine, table, f"{table}.sent", texts)


def file_line(stock: LiteStock, *, texts: int) -> Line:
    """Give the line of a sent text in a SQLite file, beyond what its home takes."""
    homes = stock.make("homes", lambda engine: settle_homes(engine, texts))
    stock.make("due", lambda engine: _fill(engine, texts))
    url = stock.copy_of("due")
    with a_copy(stock, "due") as sessions:
        url = sessions.engine.url.render_as_string()
        send_all(sessions, texts)
        sessions.engine.dispose()  # the last connection folds the log into the file
        grown = _bytes(url) - _bytes(homes)
    return _line("text.sent.sqlite_file", grown, texts)


def dose_lines(estate: Estate, *, plots: int) -> Iterator[Line]:
    """Give the lines of a dose on PostgreSQL."""
    place = estate.place(plots)
    place.empty()
    began = _log_at(place.engine)
    with place.sessions.begin() as session:
        doses = plan_all(session, ASSOCIATION, today=OPENS_ON, now=NOW).stored
    yield _line("dose.log", _log_since(place.engine, began), doses)
    place.vacuum()
    yield from _table_lines(place.engine, "dose", "dose", doses)


def _fill(engine: Engine, texts: int) -> None:
    settle_homes(engine, texts)
    queue_texts(engine, *due_texts(texts, texts))


def _table_lines(engine: Engine, table: str, name: str, rows: int) -> Iterator[Line]:
    with engine.connect() as connection:
        heap, indexes = connection.execute(_SIZES, {"name": table}).one()
    yield _line(f"{name}.rows", heap, rows)
    yield _line(f"{name}.indexes", indexes, rows)


def _log_at(engine: Engine) -> str:
    with engine.connect() as connection:
        return str(connection.execute(_AT).scalar_one())


def _log_since(engine: Engine, at: str) -> float:
    with engine.connect() as connection:
        return float(connection.execute(_SINCE, {"at": at}).scalar_one())


def _bytes(url: str) -> int:
    return Path(url.removeprefix("sqlite:///")).stat().st_size


def _line(name: str, size: float, many: int) -> Line:
    return absolute_line(f"growth.{name}", size / many, goal=None, unit="B")
