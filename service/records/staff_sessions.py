"""Signed-in browsers; only the hash of a browser's token is kept."""

from datetime import datetime

from sqlalchemy import select, update

from service.records.engine import Session
from service.records.staff import StaffRow, StaffSessionRow


def session_of_hash(session: Session, token_hash: str) -> tuple[StaffSessionRow, StaffRow] | None:
    """Return the session not ended whose token has this hash, and who is in it.

    The association is not asked for: it is what the token tells. Nobody who was removed is found.
    """
    found = session.execute(
        select(StaffSessionRow, StaffRow)
        .join(StaffRow, StaffRow.id == StaffSessionRow.staff_id)
        .where(
            StaffSessionRow.token_hash == token_hash,
            StaffSessionRow.ended_at.is_(None),
            StaffRow.removed_at.is_(None),
        )
    ).one_or_none()
    return None if found is None else (found[0], found[1])


def open_session(
    session: Session, association_id: int, staff_id: int, *, token_hash: str, now: datetime
) -> None:
    """Note that a browser was signed in."""
    session.add(
        StaffSessionRow(
            association_id=association_id,
            staff_id=staff_id,
            token_hash=token_hash,
            opened_at=now,
            seen_at=now,
        )
    )
    session.flush()


def see_session(session: Session, association_id: int, session_id: int, *, now: datetime) -> None:
    """Note that a browser asked for something."""
    session.execute(
        update(StaffSessionRow)
        .where(StaffSessionRow.association_id == association_id, StaffSessionRow.id == session_id)
        .values(seen_at=now)
    )


def open_sessions(session: Session, association_id: int, staff_id: int) -> list[StaffSessionRow]:
    """Return the sessions of a member of staff that nobody ended, last seen first."""
    return list(
        session.scalars(
            select(StaffSessionRow)
            .where(
                StaffSessionRow.association_id == association_id,
                StaffSessionRow.staff_id == staff_id,
                StaffSessionRow.ended_at.is_(None),
            )
            .order_by(StaffSessionRow.seen_at.desc(), StaffSessionRow.id.desc())
        )
    )


def end_session(
    session: Session, association_id: int, staff_id: int, *, session_id: int, now: datetime
) -> bool:
    """End one session of a member of staff, and say whether it was theirs and open."""
    ended = session.execute(
        update(StaffSessionRow)
        .where(
            StaffSessionRow.association_id == association_id,
            StaffSessionRow.staff_id == staff_id,
            StaffSessionRow.id == session_id,
            StaffSessionRow.ended_at.is_(None),
        )
        .values(ended_at=now)
        .returning(StaffSessionRow.id)
    )
    return ended.one_or_none() is not None


def end_sessions(session: Session, association_id: int, staff_id: int, *, now: datetime) -> None:
    """End every session of a member of staff."""
    session.execute(
        update(StaffSessionRow)
        .where(
            StaffSessionRow.association_id == association_id,
            StaffSessionRow.staff_id == staff_id,
            StaffSessionRow.ended_at.is_(None),
        )
        .values(ended_at=now)
    )
