"""Databases that all start alike: one is made ready, and each run gets a copy of its own."""

import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Protocol

from sqlalchemy import Engine

from service.records.engine import Sessions, open_engine
from service.records.migrate import upgrade
from tests.pg import Cluster, cluster

FillUp = Callable[[Engine], None]
LITE, PG = "sqlite", "pg"
_MIGRATED = "migrated"  # without a row


class Stock(Protocol):
    """What gives databases."""

    kind: str

    def make(self, name: str, fill: FillUp) -> str:
        """Make a database of this version ready under a name; return its address."""
        ...

    def copy_of(self, name: str) -> str:
        """Return the address of a new database that is like the one of that name."""
        ...

    def drop(self, url: str) -> None:
        """Take a copy away; nobody may use it any more."""
        ...


@contextmanager
def a_copy(stock: Stock, name: str) -> Iterator[Sessions]:
    """Give a copy with one connection open, and take it away after the block."""
    url = stock.copy_of(name)
    sessions = Sessions(open_engine(url))
    try:
        with sessions.engine.connect():  # the pool keeps it
            pass
        yield sessions
    finally:
        sessions.engine.dispose()
        stock.drop(url)


@contextmanager
def opened(url: str) -> Iterator[Sessions]:
    """Give a database by its address, with one connection open."""
    sessions = Sessions(open_engine(url))
    try:
        with sessions.engine.connect():
            pass
        yield sessions
    finally:
        sessions.engine.dispose()


@dataclass(kw_only=True)
class PgStock:
    """Databases of a running cluster."""

    running: Cluster
    kind: str = PG
    numbers: Iterator[int] = field(default_factory=lambda: count(1))
    names: dict[str, str] = field(default_factory=dict)  # of a database that is ready, its own

    def make(self, name: str, fill: FillUp) -> str:
        """Make a database ready; one of that name that was ready before is forgotten."""
        if _MIGRATED not in self.names:
            self.names[_MIGRATED] = _MIGRATED
            self.order(f"CREATE DATABASE {_MIGRATED}")
            _filled(self.running.url(_MIGRATED), upgrade)
        self.names[name] = own = f"{name}_{next(self.numbers)}"
        self.order(f"CREATE DATABASE {own} TEMPLATE {_MIGRATED}")
        _filled(self.running.url(own), fill)
        return self.running.url(own)

    def empty(self, name: str) -> str:
        """Make a database without tables; return its own name."""
        self.names[name] = own = f"{name}_{next(self.numbers)}"
        self.order(f"CREATE DATABASE {own}")
        return own

    def copy_of(self, name: str) -> str:
        """Copy a database, and write it down, so that this costs the runs nothing."""
        own = f"{name}_{next(self.numbers)}"
        self.order(f"CREATE DATABASE {own} TEMPLATE {self.names[name]}", "CHECKPOINT")
        return self.running.url(own)

    def drop(self, url: str) -> None:
        """Drop a database."""
        name = url.partition("@/")[2].partition("?")[0]
        self.order(f"DROP DATABASE {name} WITH (FORCE)")

    def dsn(self, name: str) -> str:
        """Return a database's address for the driver alone."""
        return f"host={self.running.folder} user=furrowbell dbname={name}"

    def order(self, *orders: str) -> None:
        """Let the server do something that concerns whole databases."""
        engine = open_engine(self.running.url())
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            for order in orders:
                connection.exec_driver_sql(order)
        engine.dispose()


@dataclass(kw_only=True)
class LiteStock:
    """SQLite files in a folder."""

    folder: Path
    kind: str = LITE
    numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def make(self, name: str, fill: FillUp) -> str:
        """Make a file ready."""
        migrated, own = (self.folder / f"{each}.db" for each in (_MIGRATED, name))
        if not migrated.exists():
            _filled(f"sqlite:///{migrated}", upgrade)
        shutil.copyfile(migrated, own)
        _filled(f"sqlite:///{own}", fill)
        return f"sqlite:///{own}"

    def copy_of(self, name: str) -> str:
        """Copy a file."""
        own = self.folder / f"{name}-{next(self.numbers)}.db"
        shutil.copyfile(self.folder / f"{name}.db", own)
        return f"sqlite:///{own}"

    def drop(self, url: str) -> None:
        """Remove a file and what SQLite keeps beside it."""
        file = Path(url.removeprefix("sqlite:///"))
        for ending in ("", "-wal", "-shm"):
            file.with_name(file.name + ending).unlink(missing_ok=True)


@contextmanager
def pg_stock(settings: Mapping[str, str] | None = None) -> Iterator[PgStock]:
    """Give a cluster's databases, with settings other than usual; they end with the block."""
    with cluster(inside=None, **(settings or {})) as running:
        yield PgStock(running=running)


@contextmanager
def lite_stock() -> Iterator[LiteStock]:
    """Give SQLite files; they go with the block."""
    with TemporaryDirectory(prefix="furrowbell-bench-") as folder:
        yield LiteStock(folder=Path(folder))


def tidy_up(engine: Engine) -> None:
    """Bring the statistics up to date, and write everything down."""
    if engine.dialect.name == "sqlite":
        return  # the last connection to go folds the write-ahead log into the file
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        for order in ("VACUUM ANALYZE", "CHECKPOINT"):
            connection.exec_driver_sql(order)


def _filled(url: str, fill: FillUp) -> None:
    engine = open_engine(url)
    fill(engine)
    tidy_up(engine)
    engine.dispose()
