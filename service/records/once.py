"""Insert a row once: the second insert of the same key changes nothing."""

from collections.abc import Mapping

from sqlalchemy.dialects import postgresql, sqlite

from service.records.base import Base
from service.records.engine import Session


def insert_once(session: Session, table: type[Base], values: Mapping[str, object]) -> int | None:
    """Return the id of the new row, or None where a unique key already stands.

    PostgreSQL and SQLite both know the clause, so two workers at once cannot double a row.
    """
    make = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    statement = (
        make(table).values(**values).on_conflict_do_nothing().returning(table.__table__.c.id)
    )
    return session.execute(statement).scalar_one_or_none()
