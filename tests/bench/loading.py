"""Made-up rows into a database."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from sqlalchemy import Engine, insert

from service.records.base import Base

LINES_A_WRITE = 20_000
_NEXT_ID = "SELECT setval(pg_get_serial_sequence('{table}', 'id'), (SELECT max(id) FROM {table}))"


def load(engine: Engine, tables: Iterable[tuple[str, str, Iterator[tuple[object, ...]]]]) -> None:
    """Store the rows of each table in PostgreSQL, as fast as it takes them."""
    with engine.begin() as connection:
        raw: Any = connection.connection.driver_connection
        raw.execute("SET LOCAL session_replication_role = replica")  # rows refer to rows: no check
        for table, columns, rows in tables:
            with raw.cursor().copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for part in _parts(rows):
                    copy.write("".join(_line(row) for row in part))
            if columns.startswith("id,"):
                raw.execute(_NEXT_ID.format(table=table))
    vacuum(engine)


def load_typed(
    engine: Engine, tables: Iterable[tuple[str, str, Iterator[tuple[object, ...]]]]
) -> None:
    """Store the rows of each table in any database, each value by its column's type."""
    with engine.begin() as connection:
        for name, columns, rows in tables:
            table, names = Base.metadata.tables[name], columns.replace('"', "").split(",")
            given = [dict(zip(names, row, strict=True)) for row in rows]
            if given:
                connection.execute(insert(table), given)


def vacuum(engine: Engine) -> None:
    """Bring the planner's statistics up to date and write everything down."""
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.exec_driver_sql("VACUUM ANALYZE")
        connection.exec_driver_sql("CHECKPOINT")


def _parts(rows: Iterator[tuple[object, ...]]) -> Iterator[Sequence[tuple[object, ...]]]:
    while part := list(islice(rows, LINES_A_WRITE)):
        yield part


def _line(row: tuple[object, ...]) -> str:
    return "\t".join("\\N" if value is None else str(value) for value in row) + "\n"
