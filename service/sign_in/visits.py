"""Visits: a signed-in browser, known by a token of which only the hash is kept.

A visit ends after two hours without a request, after twelve hours at the latest, when it is
ended by hand, and when its member of staff is removed.
"""

from dataclasses import dataclass
from datetime import datetime

from service.records.engine import Session
from service.records.staff import Role, StaffRow, StaffSessionRow
from service.records.staff_sessions import (
    end_session,
    end_sessions,
    open_session,
    open_sessions,
    see_session,
    session_of_hash,
)
from service.sign_in.secrets import new_token, token_hash
from service.sign_in.spans import IDLE, SEEN_EVERY, WHOLE


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Who is asking. Role and language are those of now, not of the sign-in."""

    session_id: int
    staff_id: int
    association_id: int
    name: str
    shown: str
    role: Role
    language: str
    seen_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenVisit:
    """A visit as its owner sees it in the list."""

    session_id: int
    opened_at: datetime
    seen_at: datetime


def open_visit(session: Session, staff: StaffRow, *, now: datetime) -> str:
    """Begin a visit and return its token, which is always a new one."""
    token = new_token()
    open_session(session, staff.association_id, staff.id, token_hash=token_hash(token), now=now)
    return token


def visit_of(session: Session, token: str, *, now: datetime) -> Visit | None:
    """Return the visit that a token belongs to, or None where it is over or never was."""
    found = session_of_hash(session, token_hash(token))
    if found is None or _over(found[0], now):
        return None
    row, staff = found
    return Visit(
        session_id=row.id,
        staff_id=staff.id,
        association_id=staff.association_id,
        name=staff.name,
        shown=staff.shown,
        role=staff.role,
        language=staff.language,
        seen_at=row.seen_at,
    )


def touch_visit(session: Session, visit: Visit, *, now: datetime) -> None:
    """Note that the visitor is there; at most once a minute is anything written."""
    if now - visit.seen_at >= SEEN_EVERY:
        see_session(session, visit.association_id, visit.session_id, now=now)


def end_visit(session: Session, visit: Visit, *, session_id: int, now: datetime) -> bool:
    """End a visit of the visitor's own, this one or another of the list.

    Returns whether there was such a visit; other people's are as if they were not there.
    """
    return end_session(
        session, visit.association_id, visit.staff_id, session_id=session_id, now=now
    )


def end_visits_of(session: Session, association_id: int, staff_id: int, *, now: datetime) -> None:
    """End all visits of a member of staff."""
    end_sessions(session, association_id, staff_id, now=now)


def visits_of(
    session: Session, association_id: int, staff_id: int, *, now: datetime
) -> list[OpenVisit]:
    """Return the visits of a member of staff that go on, last seen first."""
    return [
        OpenVisit(session_id=row.id, opened_at=row.opened_at, seen_at=row.seen_at)
        for row in open_sessions(session, association_id, staff_id)
        if not _over(row, now)
    ]


def _over(row: StaffSessionRow, now: datetime) -> bool:
    return now - row.seen_at >= IDLE or now - row.opened_at >= WHOLE
