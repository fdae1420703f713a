"""Tests name the ids of their rows; on PostgreSQL the ids given out afterwards must be others.

The service itself never chooses an id.
"""

from sqlalchemy import event, inspect, text
from sqlalchemy.orm import Session, UOWTransaction

_ON = "given_ids"


def heed_given_ids() -> None:
    """Move a table's numbering on whenever a row with an id of its own is stored."""
    event.listen(Session, "before_flush", _note)
    event.listen(Session, "after_flush", _move_on)


def _note(session: Session, _context: UOWTransaction, _instances: object) -> None:
    if session.get_bind().dialect.name != "postgresql":
        return
    named = {
        inspect(type(row)).local_table.name
        for row in session.new
        if isinstance(getattr(row, "id", None), int)
    }
    session.info.setdefault(_ON, set()).update(named)


def _move_on(session: Session, _context: UOWTransaction) -> None:
    for table in session.info.pop(_ON, ()):
        session.connection().execute(
            text(
                f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), max(id)) FROM {table}"  # noqa: S608 -- a table's own name
            )
        )
