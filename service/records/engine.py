"""The engine and its transactions, the same for SQLite and PostgreSQL."""

from collections.abc import Iterator
from contextlib import contextmanager
from sqlite3 import Connection as SqliteConnection
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import ArgumentError
from sqlalchemy.orm import Session as Session  # noqa: PLC0414 -- the one home of this name
from sqlalchemy.orm import sessionmaker

from service.errors import SettingsError

BUSY_TIMEOUT_MS = 10_000


def open_engine(url: str) -> Engine:
    """Return an engine for `url`; SQLite gets WAL, full sync, foreign keys and a busy timeout.

    Raises:
        SettingsError: the address is not one of a database.
    """
    try:
        engine = create_engine(url, hide_parameters=True)  # errors reach the log
    except ArgumentError as error:
        raise SettingsError(
            [
                "database_url is not a database address; write sqlite:///FILE or postgresql+psycopg://…"
            ]
        ) from error
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: SqliteConnection, _record: Any) -> None:  # noqa: ANN401 -- SQLAlchemy's private record
    # autocommit of the driver off: SQLAlchemy's begin event starts each transaction itself
    connection.isolation_level = None
    for pragma in (
        f"busy_timeout={BUSY_TIMEOUT_MS}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    options = connection.get_execution_options()
    # a writer takes the lock at once: upgrading a read lock later fails without waiting
    connection.exec_driver_sql("BEGIN" if options.get("read_only") else "BEGIN IMMEDIATE")


class Sessions:
    """Opens transactions: `begin` to write, `read` to look."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._write = sessionmaker(engine, expire_on_commit=False)
        self._read = sessionmaker(engine.execution_options(read_only=True), expire_on_commit=False)

    @contextmanager
    def begin(self) -> Iterator[Session]:
        """Give a session that commits at the end of the block and rolls back on an error."""
        with self._write.begin() as session:
            yield session

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Give a session for looking only; nothing done in it is kept."""
        with self._read() as session:
            yield session
            session.expunge_all()  # what was read stays readable
