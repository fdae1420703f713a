"""The last instant at which the machine's clock was trusted: one row for the whole service.

It holds nothing of any association, for the clock is that of the machine. What happens to it is
written down in the book of each.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Mapped, mapped_column

from service.records.base import Base
from service.records.engine import Session
from service.records.once import insert_once
from service.records.people import AuditRow
from service.records.plantings import associations
from service.records.tasks import audit

CLOCK = "clock"
_ONE = 1


class ClockWatchRow(Base):
    """The one row; `doubted_at` is what a clock in doubt showed when sending was first held."""

    __tablename__ = "clock_watch"

    id: Mapped[int] = mapped_column(primary_key=True)
    trusted_at: Mapped[datetime]
    doubted_at: Mapped[datetime | None]


def clock_watch(session: Session) -> ClockWatchRow | None:
    """Return the row; None before the service has run with its clock watched."""
    return session.scalars(select(ClockWatchRow).where(ClockWatchRow.id == _ONE)).one_or_none()


def first_trust(session: Session, now: datetime) -> None:
    """Keep the first instant ever; where one is kept already, that one stays."""
    insert_once(session, ClockWatchRow, {"id": _ONE, "trusted_at": now, "doubted_at": None})


def raise_trusted(session: Session, now: datetime) -> None:
    """Keep a later trusted instant; an earlier one, of a slower process, changes nothing."""
    session.execute(
        update(ClockWatchRow)
        .where(ClockWatchRow.id == _ONE, ClockWatchRow.trusted_at < now)
        .values(trusted_at=now)
    )


def doubt_clock(session: Session, now: datetime) -> bool:
    """Note that the clock is in doubt; return False where that is noted already."""
    noted = session.execute(
        update(ClockWatchRow)
        .where(ClockWatchRow.id == _ONE, ClockWatchRow.doubted_at.is_(None))
        .values(doubted_at=now)
        .returning(ClockWatchRow.id)
    )
    return noted.scalar_one_or_none() is not None


def end_doubt(session: Session) -> bool:
    """Note that the clock is right again; return False where it was not in doubt."""
    ended = session.execute(
        update(ClockWatchRow)
        .where(ClockWatchRow.id == _ONE, ClockWatchRow.doubted_at.is_not(None))
        .values(doubted_at=None)
        .returning(ClockWatchRow.id)
    )
    return ended.scalar_one_or_none() is not None


def trust_clock(session: Session, now: datetime) -> None:
    """Trust an instant because a person says so, be it earlier or later than the one kept."""
    session.execute(
        update(ClockWatchRow)
        .where(ClockWatchRow.id == _ONE)
        .values(trusted_at=now, doubted_at=None)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sayer:
    """The person who said that the clock is right, and the association of that person."""

    who: str
    association: int


def note_clock(
    session: Session,
    what: str,
    detail: Mapping[str, object],
    *,
    at: datetime,
    sayer: Sayer | None = None,
) -> None:
    """Write what happened to the clock in every association's book.

    The name of who said so stands in the book of the own association alone; the service itself
    has none.
    """
    for row in associations(session):
        own = sayer is not None and row.id == sayer.association
        entry = AuditRow(
            at=at,
            who=sayer.who if own and sayer is not None else "",
            what=what,
            subject=CLOCK,
            subject_id=_ONE,
            origin="form" if own else CLOCK,
            detail=dict(detail),
        )
        audit(session, row.id, entry)
