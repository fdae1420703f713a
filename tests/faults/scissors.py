"""Cuts a connection at a chosen call to the database: just before the call, or just after it.

A call is a statement or a commit. On PostgreSQL the socket is shut, and the driver finds out and
raises what it raises; on SQLite, which has no connection to lose, the driver's own error is
raised, as for a disk that fails.
"""

import os
import socket
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import psycopg
from sqlalchemy import Engine, event
from sqlalchemy.engine.interfaces import DBAPICursor
from sqlalchemy.pool import PoolProxiedConnection

Parameters = Sequence[object] | Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Where to cut: at the `at`-th call from now, counted from 1.

    With `for_good` every call after it fails as well, as while a server is away.
    """

    at: int
    behind: bool  # the call is carried out, and its answer is lost
    for_good: bool


@dataclass(slots=True)
class Scissors:
    """What stands between an engine and its database.

    Attributes:
        where: asked at the moment of a cut; what it says is kept in `cut_at`.
        calls: how many calls there were in the last `cutting`.
        cut_at: where the work stood when the connection was cut, None where it was not.
    """

    engine: Engine
    where: Callable[[], str]
    calls: int = 0
    cut_at: str | None = None
    _cut: Cut | None = None

    def __post_init__(self) -> None:
        event.listen(self.engine, "do_execute", self._execute)
        event.listen(self.engine, "do_executemany", self._execute_many)
        commit = self.engine.dialect.do_commit

        def do_commit(dbapi_connection: PoolProxiedConnection) -> None:
            self._call(
                dbapi_connection.driver_connection, lambda: commit(dbapi_connection), lambda: None
            )

        vars(self.engine.dialect)["do_commit"] = do_commit

    @contextmanager
    def cutting(self, cut: Cut) -> Iterator[None]:
        """Cut once within a block."""
        self._cut, self.calls, self.cut_at = cut, 0, None
        try:
            yield
        finally:
            self._cut = None

    def _execute(
        self, cursor: DBAPICursor, statement: str, parameters: Parameters, _context: object
    ) -> bool:
        self._call(cursor.connection, lambda: cursor.execute(statement, parameters), cursor.close)
        return True

    def _execute_many(
        self,
        cursor: DBAPICursor,
        statement: str,
        parameters: Sequence[Mapping[str, object]],
        _context: object,
    ) -> bool:
        self._call(
            cursor.connection,
            lambda: cursor.executemany(statement, parameters),
            cursor.close,
        )
        return True

    def _call(
        self, connection: object, call: Callable[[], object], end: Callable[[], object]
    ) -> None:
        if self._cut is None:
            call()
            return
        self.calls += 1
        is_here = self.calls == self._cut.at
        if is_here:
            self.cut_at = self.where()
        gone = self.calls > self._cut.at and self._cut.for_good
        if gone or (is_here and not self._cut.behind):
            _sever(connection)
        call()
        if is_here and self._cut.behind:
            end()  # an error ends its statement; one left open would hold on to what it sees
            _sever(connection)


def _sever(connection: object) -> None:
    """Cut a connection, and let its driver find out.

    Raises:
        psycopg.OperationalError, sqlite3.OperationalError: always.
    """
    if isinstance(connection, psycopg.Connection):
        if not connection.closed:
            with socket.socket(fileno=os.dup(connection.fileno())) as line:
                line.shutdown(socket.SHUT_RDWR)
        connection.execute("SELECT 1")
    if isinstance(connection, sqlite3.Connection):
        connection.rollback()  # as SQLite does by itself on such an error
    raise sqlite3.OperationalError("disk I/O error")
