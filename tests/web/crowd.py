"""Many homes where there were two: each row of theirs again and again, in one go."""

from sqlalchemy import Table, UniqueConstraint, insert, select

from service.records.base import Base
from service.records.engine import Session
from tests.world import World

APART = 1_000  # between the ids of one copy and the next
PHONES = 30  # copies with phones of their own; the numbers of tests end there, others share
ONCE = frozenset(  # tables of which an association has as many rows however many homes it has
    {"area", "association", "claim", "form_post", "import_run", "orphan_receipt", "pretend_clock"}
    | {"route", "route_day", "sign_in_try", "staff", "staff_code", "staff_link", "staff_session"}
    | {"area_hold", "clock_watch", "local_value", "plan_share", "season_span"}
)

Values = dict[str, object]


def crowd(world: World, copies: int) -> None:
    """Add so many copies of every home of the world, with all that is theirs."""
    with world.services.sessions.begin() as session:
        for table in Base.metadata.sorted_tables:
            if table.name not in ONCE:
                _copy_all(session, table, copies)


def _copy_all(session: Session, table: Table, copies: int) -> None:
    rows = [dict(row) for row in session.execute(select(table)).mappings()]
    most = min(copies, PHONES) if table.name == "phone" else copies
    made = [_copied(table, row, copy) for copy in range(1, most + 1) for row in rows]
    if made:
        session.execute(insert(table), made)


def _copied(table: Table, values: Values, copy: int) -> Values:
    unique = {
        column.name
        for key in table.constraints
        if isinstance(key, UniqueConstraint)
        for column in key.columns
    }
    copied = dict(values)
    for column in table.c:
        value = values[column.name]
        targets = {key.column.table.name for key in column.foreign_keys}
        if targets == {"phone"} and isinstance(value, int):
            copied[column.name] = value + APART * ((copy - 1) % PHONES + 1)
        elif isinstance(value, int) and (column.primary_key or targets - ONCE):
            copied[column.name] = value + APART * copy
        elif isinstance(value, str) and value.startswith("+2551000000"):
            copied[column.name] = _number(value, copy)
        elif isinstance(value, str) and (column.name in unique or column.unique):
            copied[column.name] = _different(value, copy, getattr(column.type, "length", 40))
    return copied


def _number(value: str, copy: int) -> str:
    own = (copy - 1) % PHONES + 1
    return f"+2551000000{(int(value[-2:]) + 3 * own) % 100:02d}"


def _different(value: str, copy: int, longest: int) -> str:
    end = f"~{copy}"
    return value[: longest - len(end)] + end
