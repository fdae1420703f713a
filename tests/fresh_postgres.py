"""A PostgreSQL server for one process of tests, with a database for each folder that asks.

Nothing on it has to outlive the run, so it does not wait for the disk. Making a database takes a
fifth of a second, so those given back are emptied and given out again.
"""

from contextlib import ExitStack
from itertools import count
from pathlib import Path
from typing import Any

import psycopg

from service.records.engine import open_engine
from service.records.migrate import upgrade
from tests.pg import cluster

_TEMPLATE = "migrated"
_CARELESS: dict[str, Any] = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "shared_buffers": "128MB",
    "max_connections": "100",
    "autovacuum": "off",
}
# each id starts from 1 again, and the database is empty, as tests expect of a new one
_EMPTY = """
DO $$
DECLARE name text;
BEGIN
  SET LOCAL session_replication_role = replica;
  FOR name IN SELECT tablename FROM pg_tables
    WHERE schemaname = 'public' AND tablename <> 'alembic_version'
  LOOP
    EXECUTE format('DELETE FROM %I', name);
  END LOOP;
  PERFORM setval(seqrelid, seqstart, false) FROM pg_sequence;
END $$
"""
_SHUT_OUT = (
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
    " WHERE datname = %s AND pid <> pg_backend_pid()"
)


class Server:
    """A running server; `end` has to be called."""

    def __init__(self) -> None:
        self._stack = ExitStack()
        self._cluster = self._stack.enter_context(cluster(**_CARELESS))
        self._admin = self._connect("postgres")
        self._admin.execute(f"CREATE DATABASE {_TEMPLATE}")
        engine = open_engine(self._cluster.url(_TEMPLATE))
        upgrade(engine)
        engine.dispose()
        with psycopg.connect(self._dsn(_TEMPLATE)) as template:
            self._shape = _shape(template)
        self._given: dict[Path, str] = {}
        self._unmade: set[Path] = set()
        self._free: list[str] = []
        self._numbers = count(1)

    def url(self, folder: Path) -> str:
        """Return the address of a folder's database, whether it is made or not."""
        if folder not in self._given:
            self._given[folder] = f"tests{next(self._numbers)}"
            self._unmade.add(folder)
        return self._cluster.url(self._given[folder])

    def make(self, folder: Path) -> None:
        """Give a folder a database of this version, unless it has one."""
        if folder not in self._given and self._free:
            self._given[folder] = self._free.pop()
        else:
            self._make(folder, _TEMPLATE)

    def make_bare(self, folder: Path) -> None:
        """Give a folder a database without any table, unless it has one."""
        self._make(folder, "template0")

    def take_back(self, folder: Path) -> None:
        """End a folder's database, whoever still looks at it."""
        name = self._given.pop(folder, None)
        if name is None or folder in self._unmade:
            self._unmade.discard(folder)
            return
        self._admin.execute(_SHUT_OUT, [name])
        if self._emptied(name):
            self._free.append(name)
        else:
            self._admin.execute(f"DROP DATABASE {name} WITH (FORCE)")

    def end(self) -> None:
        """End the server; its folder goes too."""
        self._stack.close()

    def _make(self, folder: Path, template: str) -> None:
        self.url(folder)
        if folder in self._unmade:
            self._unmade.remove(folder)
            self._admin.execute(f"CREATE DATABASE {self._given[folder]} TEMPLATE {template}")

    def _emptied(self, name: str) -> bool:
        """Empty a database; False if its tables are not those of the template any more."""
        with psycopg.connect(self._dsn(name), autocommit=True) as mine:
            if _shape(mine) != self._shape:
                return False
            mine.execute(_EMPTY)
        return True

    def _connect(self, name: str) -> psycopg.Connection[tuple[object, ...]]:
        return self._stack.enter_context(psycopg.connect(self._dsn(name), autocommit=True))

    def _dsn(self, name: str) -> str:
        return f"host={self._cluster.folder} user=furrowbell dbname={name}"


def _shape(connection: psycopg.Connection[tuple[object, ...]]) -> list[tuple[object, ...]]:
    found = connection.execute(
        "SELECT table_name, column_name FROM information_schema.columns"
        " WHERE table_schema = 'public'"
    ).fetchall()
    if any(table == "alembic_version" for table, _ in found):
        found += connection.execute("SELECT version_num, '' FROM alembic_version").fetchall()
    return sorted(found)
