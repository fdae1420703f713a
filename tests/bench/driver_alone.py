"""A session as the queue's fast path asks for one, whose statements the driver runs alone.

The same statements with the same values, and values made the same: only what SQLAlchemy adds to
running them is left out.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Double, Engine, Executable, Select
from sqlalchemy.engine.interfaces import Dialect
from sqlalchemy.types import TypeEngine

Process = Callable[[Any], Any] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A statement as the driver takes it, and what is done to its values and to its rows."""

    sql: str
    given: Mapping[str, object]
    order: Sequence[str] | None  # of the values, where they have no names
    into: Mapping[str, Callable[[Any], Any]]
    out: Sequence[Process]

    def values(self, parameters: Mapping[str, object]) -> Any:  # noqa: ANN401 -- as each driver wants them
        """Return the values to be given."""
        values = {**self.given, **parameters}
        for name, process in self.into.items():
            values[name] = process(values[name])
        return values if self.order is None else tuple(values[name] for name in self.order)

    def rows(self, rows: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
        """Return the rows that came."""
        if not any(self.out):
            return rows
        return [
            tuple(
                value if process is None else process(value)
                for process, value in zip(self.out, row, strict=True)
            )
            for row in rows
        ]


@dataclass(frozen=True, slots=True)
class Rows:
    """What a statement gave."""

    found: list[tuple[Any, ...]]

    def all(self) -> list[tuple[Any, ...]]:
        """Return every row."""
        return self.found

    def __iter__(self) -> Iterator[tuple[Any, ...]]:
        return iter(self.found)

    def one(self) -> tuple[Any, ...]:
        """Return the only row."""
        (row,) = self.found
        return row

    def scalar_one(self) -> Any:  # noqa: ANN401 -- whatever the statement gave
        """Return the only value of the only row."""
        return self.one()[0]


@dataclass(kw_only=True)
class DriverSession:
    """Stands for a session and for its connection."""

    raw: Any
    dialect: Dialect
    ready: dict[int, Ready] = field(default_factory=dict)

    def connection(self) -> "DriverSession":
        """Return itself."""
        return self

    def flush(self) -> None:
        """Do nothing: there are no objects."""

    def expire_all(self) -> None:
        """Do nothing: there are no objects."""

    def execute(self, statement: Executable, parameters: Mapping[str, object]) -> Rows:
        """Run a statement."""
        ready = self.ready.get(id(statement))
        if ready is None:
            ready = self.ready[id(statement)] = made_ready(statement, self.dialect)
        cursor = self.raw.execute(ready.sql, ready.values(parameters))
        return Rows(ready.rows(cursor.fetchall()) if cursor.description else [])

    def exec_driver_sql(self, sql: str, parameters: Any) -> Rows:  # noqa: ANN401 -- one row's values, or many
        """Run what is written in the driver's own way."""
        if isinstance(parameters, list):
            self.raw.executemany(sql, parameters)
            return Rows([])
        cursor = self.raw.execute(sql, parameters)
        return Rows(cursor.fetchall() if cursor.description else [])

    @contextmanager
    def turn(self) -> Iterator["DriverSession"]:
        """Give a transaction."""
        if self.dialect.name == "sqlite":
            self.raw.execute("BEGIN IMMEDIATE")
        yield self
        self.raw.commit()


def made_ready(statement: Executable, dialect: Dialect) -> Ready:
    """Return a statement as a driver takes it."""
    made: Any = statement.compile(dialect=dialect)  # type: ignore[attr-defined]  # -- every statement here has it
    columns = list(statement.selected_columns) if isinstance(statement, Select) else []
    return Ready(
        sql=str(made),
        given=made.params,
        order=made.positiontup,
        into=made._bind_processors,  # noqa: SLF001 -- nowhere else
        out=[_out(column.type, dialect) for column in columns],
    )


def _out(kind: TypeEngine[Any], dialect: Dialect) -> Process:
    if isinstance(kind, Double):  # both drivers give a float
        return None
    return kind.dialect_impl(dialect).result_processor(dialect, None)


def driver_session(engine: Engine, raw: object) -> DriverSession:
    """Return a session over a connection of the driver."""
    return DriverSession(raw=raw, dialect=engine.dialect)
