"""The engine and its transactions, the same for SQLite and PostgreSQL."""

from collections.abc import Iterator
from contextlib import contextmanager
from sqlite3 import Connection as SqliteConnection
from typing import Any

from sqlalchemy import Connection, Engine, ExceptionContext, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError
from sqlalchemy.orm import Session as Session  # noqa: PLC0414 -- the one home of this name
from sqlalchemy.orm import sessionmaker

from service.errors import SettingsError

BUSY_TIMEOUT_MS = 10_000
# a server must not wait for ever for one of ours that hangs or holds a lock; project choices, in ms
SERVER_LIMITS = {
    "statement_timeout": 300_000,
    "lock_timeout": 20_000,
    "idle_in_transaction_session_timeout": 15_000,  # a frozen process gives its turn to the others
}
_ASSOCIATIONS = 0x4642  # the first of an advisory lock's two numbers; the second is the id
_WAIT_FOR_TURN = text("SELECT pg_advisory_xact_lock(:space, :id)")
_WAIT_BESIDE = text("SELECT pg_advisory_xact_lock_shared(:space, :id)")
POOL_SIZE = 10  # connections a process keeps; twice as many when all its threads are at work


def open_engine(url: str) -> Engine:
    """Return an engine for `url`.

    SQLite gets WAL, full sync, foreign keys and a busy timeout; PostgreSQL gets time limits, and
    connections that are tried before they are used.

    Raises:
        SettingsError: the address is not one of a database.
    """
    try:
        # the parameters of a statement must not reach the log with an error
        engine = create_engine(url, hide_parameters=True, **_server_options(url))
    except ArgumentError as error:
        raise SettingsError(
            [
                "database_url is not a database address; write sqlite:///FILE or postgresql+psycopg://…"
            ]
        ) from error
    except ModuleNotFoundError as error:
        raise SettingsError(
            [f"This database needs {error.name}; install furrowbell with its extra `postgres`."]
        ) from error
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        event.listen(engine, "handle_error", _leave_out_the_row)
    return engine


def _server_options(url: str) -> dict[str, Any]:
    if make_url(url).get_backend_name() != "postgresql":
        return {}
    limits = " ".join(f"-c {name}={value}" for name, value in SERVER_LIMITS.items())
    return {
        "pool_size": POOL_SIZE,
        "max_overflow": POOL_SIZE,
        "pool_pre_ping": True,
        "connect_args": {
            "application_name": "furrowbell",
            "connect_timeout": 10,
            "options": limits,
        },
    }


def _leave_out_the_row(context: ExceptionContext) -> None:
    """Take out of an error what the server tells of the row, for errors reach the log."""
    error, wrapped = context.original_exception, context.sqlalchemy_exception
    said = str(error)
    first = said.partition("\n")[0]
    error.args = (first, *error.args[1:])
    if wrapped is not None:
        wrapped.args = tuple(str(part).replace(said, first) for part in wrapped.args)


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


def wait_for_turn(session: Session, association_id: int, *, beside: bool = False) -> None:
    """Wait until no other transaction has its turn at an association; see `Sessions.begin`."""
    if session.get_bind().dialect.name == "postgresql":
        wait = _WAIT_BESIDE if beside else _WAIT_FOR_TURN
        session.execute(wait, {"space": _ASSOCIATIONS, "id": association_id})


@contextmanager
def each_query_planned(session: Session) -> Iterator[None]:
    """Let the server plan each query of ours anew in the block, not once for all values.

    For work that fills a table and reads it in spans: a plan kept from when the table was empty
    would read all of it for each span. The server's own checks of keys keep theirs.
    """
    if session.get_bind().dialect.name != "postgresql":
        yield
        return
    driver: Any = session.connection().connection.driver_connection
    usual, driver.prepare_threshold = driver.prepare_threshold, None
    try:
        yield
    finally:
        driver.prepare_threshold = usual


class Sessions:
    """Opens transactions: `begin` to write, `read` to look."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._write = sessionmaker(engine, expire_on_commit=False)
        self._read = sessionmaker(engine.execution_options(read_only=True), expire_on_commit=False)

    @contextmanager
    def begin(self, *, alone: int | None = None, beside: int | None = None) -> Iterator[Session]:
        """Give a session that commits at the end of the block and rolls back on an error.

        With `alone`, an association's id, no other such block of that association runs at the same
        time, in whatever process: what was read in it stays true until it ends. With `beside` only
        others like it do; they must keep out of each other's way. On SQLite no two blocks run at
        the same time at all.
        """
        with self._write.begin() as session:
            if alone is not None:
                wait_for_turn(session, alone)
            if beside is not None:
                wait_for_turn(session, beside, beside=True)
            yield session

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Give a session for looking only; nothing done in it is kept."""
        with self._read() as session:
            yield session
            session.expunge_all()  # what was read stays readable
