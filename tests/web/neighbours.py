"""A second association beside the first, with a row for each of its rows, told apart by a mark."""

from collections.abc import Iterator
from dataclasses import replace

from sqlalchemy import Column, Select, Table, insert, select

from service.records.base import Base
from service.records.engine import Session
from tests.world import World

AWAY = 10_000  # how much higher the second association's ids are
MARK = "Foreign"
WORDS = ("alias", "code", "name", "shown", "text", "asked_by", "body")  # columns that people read
NUMBERS = ("number", "sender")

Values = dict[str, object]
Dump = dict[str, list[tuple[object, ...]]]


def add_neighbour(world: World) -> None:
    """Give association 2 a copy of every row of association 1; the route stays with the first."""
    settings = world.services.settings
    route = replace(settings.route, association="test")
    world.services = replace(world.services, settings=replace(settings, routes=(route,)))
    with world.services.sessions.begin() as session:
        for table in Base.metadata.sorted_tables:
            copies = [_copy(table, values) for values in _own_rows(session, table)]
            if copies:
                session.execute(insert(table), copies)


def dump_of(world: World, association_id: int) -> Dump:
    """Return every row of an association, by table."""
    with world.services.sessions.read() as session:
        return {
            table.name: sorted(
                (tuple(row) for row in session.execute(_of(table, association_id))), key=repr
            )
            for table in Base.metadata.sorted_tables
            if _tenant_column(table) is not None
        }


def crossings(world: World) -> list[str]:
    """Return each row that points to a row of another association."""
    with world.services.sessions.read() as session:
        return [
            f"{table.name} {row.id} points across by {column.name}"
            for table in Base.metadata.sorted_tables
            for column, target in _pointers(table)
            for row in session.execute(
                select(table.c.id)
                .join(target, target.c.id == column)
                .where(target.c.association_id != table.c.association_id)
            )
        ]


def _tenant_column(table: Table) -> Column[int] | None:
    if table.name == "association":
        return table.c.id
    return table.c.get("association_id")


def _of(table: Table, association_id: int) -> Select[tuple[object, ...]]:
    column = _tenant_column(table)
    assert column is not None, f"{table.name} belongs to no association"
    return select(table).where(column == association_id)


def _own_rows(session: Session, table: Table) -> list[Values]:
    if _tenant_column(table) is None:
        return []
    return [dict(row) for row in session.execute(_of(table, 1)).mappings()]


def _pointers(table: Table) -> Iterator[tuple[Column[int], Table]]:
    for column in table.c:
        for key in column.foreign_keys:
            if key.column.table.name != "association" and "association_id" in table.c:
                yield column, key.column.table


def _copy(table: Table, values: Values) -> Values:
    copied = dict(values)
    for column in table.c:
        value = values[column.name]
        targets = {key.column.table.name for key in column.foreign_keys}
        if targets == {"association"} or (table.name == "association" and column.name == "id"):
            copied[column.name] = 2
        elif isinstance(value, int) and (targets or column.primary_key):
            copied[column.name] = value + AWAY
        elif isinstance(value, str):
            copied[column.name] = _other_words(column, value)
    return copied


def _other_words(column: Column[str], value: str) -> str:
    if column.name in NUMBERS and value.startswith("+2551000000"):
        return f"+2551000000{(int(value[-2:]) + 50) % 100:02d}"
    if column.unique or column.name in WORDS:
        longest = getattr(column.type, "length", None)
        return f"{MARK} {value}"[:longest]
    return value
