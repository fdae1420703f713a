"""What is the same for every test and slow to make: an empty database, the checked texts.

A run is for one kind of database, which pytest's `--database` names: a SQLite file for each test,
or a database for each test on a PostgreSQL server that the run starts and ends itself.
"""

import os
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from service.messages.catalogue import Catalogue
from service.records.engine import open_engine
from service.records.migrate import upgrade
from tests.fresh_postgres import Server

TEXTS = Path(__file__).parent.parent / "locales"
KIND = "FURROWBELL_TESTS_DATABASE"  # in the environment, so that every process of a run knows it
KINDS = ("sqlite", "postgresql")


@cache
def shipped_texts() -> Catalogue:
    """Return the catalogue that is shipped, loaded and checked once a run."""
    return Catalogue.load(TEXTS)


def on_postgresql() -> bool:
    """Say whether this run is for PostgreSQL."""
    return os.environ.get(KIND) == "postgresql"


def database_url(folder: Path) -> str:
    """Return the address of a folder's database, whether it is there or not."""
    return _server().url(folder) if on_postgresql() else f"sqlite:///{folder / 'furrowbell.db'}"


def fresh_database(folder: Path) -> str:
    """Put an empty database of this version there, unless there is one; return its address."""
    if on_postgresql():
        _server().make(folder)
        return database_url(folder)
    return fresh_file(folder / "furrowbell.db")


def fresh_file(file: Path) -> str:
    """Put an empty SQLite database of this version there, unless one is; return its address."""
    if not file.exists():
        file.write_bytes(_migrated())
    return f"sqlite:///{file}"


def no_tables(folder: Path) -> str:
    """Put a database without any table there; return its address."""
    if on_postgresql():
        _server().make_bare(folder)
    return database_url(folder)


def forget_database(folder: Path) -> None:
    """Give back what a folder's database takes beyond the folder itself."""
    if on_postgresql():
        _server().take_back(folder)


def end_server() -> None:
    """End the run's database server, if one was started."""
    if _server.cache_info().currsize:
        _server().end()
        _server.cache_clear()


@cache
def _server() -> Server:
    return Server()


@cache
def _migrated() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "template.db"
        engine = open_engine(f"sqlite:///{file}")
        upgrade(engine)
        engine.dispose()  # the last connection to go folds the write-ahead log into the file
        return file.read_bytes()
