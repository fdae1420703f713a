"""What should have left and has not, and what nobody knows to have left."""

from datetime import date, datetime

from sqlalchemy import String, cast, exists, func, literal, or_, select

from service.messages.kinds import KINDS
from service.messages.lifecycle import State
from service.outbox.budget import budget_day, month_left, segments_left
from service.outbox.due import SAFETY
from service.records.engine import Session
from service.records.routes import routes
from service.records.traffic import CallTaskRow, MessageRow, RouteRow, TaskKind

_LONGEST = max(kind.max_segments for kind in KINDS.values())


def held_up_since(session: Session, association_id: int, *, now: datetime) -> datetime | None:
    """Return since when a text waits that could have left; of several the earliest, else None.

    Its route is open, and day and month have room even for the longest text. Where a route has
    rested, the waiting counts from the end of the rest.
    """
    day = budget_day(session, association_id, now=now)
    room = month_left(session, association_id, day)
    found = [
        _oldest(session, route, room=room, now=now)
        for route in routes(session, association_id)
        if _could_send(session, route, day, now=now)
    ]
    return min((since for since in found if since is not None), default=None)


def texts_in_doubt(session: Session, association_id: int) -> int:
    """Return of how many texts nobody knows whether they left, and no person has settled it."""
    settled = exists().where(
        CallTaskRow.association_id == MessageRow.association_id,
        CallTaskRow.key == literal(f"{TaskKind.UNKNOWN.value}:") + cast(MessageRow.id, String),
        CallTaskRow.closed_at.is_not(None),
    )
    return session.execute(
        select(func.count()).where(
            MessageRow.association_id == association_id,
            MessageRow.state == State.UNKNOWN,
            ~settled,
        )
    ).scalar_one()


def _could_send(session: Session, route: RouteRow, day: date, *, now: datetime) -> bool:
    if route.retired or route.stopped_at is not None or (route.paused_until or now) > now:
        return False
    return _has_room(segments_left(session, route, day))


def _has_room(left: int | None) -> bool:
    return left is None or left >= _LONGEST


def _oldest(
    session: Session, route: RouteRow, *, room: int | None, now: datetime
) -> datetime | None:
    query = select(MessageRow.due_at).where(
        MessageRow.association_id == route.association_id,
        MessageRow.route_id == route.id,
        MessageRow.state == State.QUEUED,
        MessageRow.due_at <= now,
        MessageRow.expires_at > now,
    )
    if not _has_room(room):
        query = query.where(or_(MessageRow.evening.is_(None), MessageRow.kind.in_(SAFETY)))
    due_at = session.scalars(query.order_by(MessageRow.due_at).limit(1)).one_or_none()
    return None if due_at is None else max(due_at, route.paused_until or due_at)
