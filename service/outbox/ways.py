"""The association's routes as the choice sees them, and queued texts moved to one that is open."""

from collections.abc import Callable
from datetime import datetime

from sqlalchemy import select

from service.messages.lifecycle import State
from service.outbox.budget import budget_day, segments_left
from service.outbox.retry import PATIENCE
from service.outbox.routing import Way, choose_route
from service.records.engine import Session
from service.records.routes import routes
from service.records.traffic import MessageEventRow, MessageRow


def ways(session: Session, association_id: int, *, now: datetime) -> list[Way]:
    """Return the routes that the settings name, with whether each is open."""
    day = budget_day(session, association_id, now=now)
    return [
        Way(
            route_id=row.id,
            prefixes=tuple(row.prefixes),
            cost=row.cost,
            is_open=row.stopped_at is None
            and (row.paused_until is None or row.paused_until <= now + PATIENCE)
            and segments_left(session, row, day) != 0,
        )
        for row in routes(session, association_id)
        if not row.retired
    ]


def route_chooser(known: list[Way]) -> Callable[[str], int]:
    """Return what names the route for a number."""
    return lambda number: choose_route(number, known)


def move_on(session: Session, association_id: int, known: list[Way], *, now: datetime) -> int:
    """Give queued texts of routes that are not open to one that is; return how many.

    Only what certainly has not left is moved: a text in doubt is in no queue.
    """
    open_ids = {way.route_id for way in known if way.is_open}
    rows = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.association_id == association_id,
            MessageRow.state == State.QUEUED,
            MessageRow.route_id.not_in(open_ids),
        )
        .order_by(MessageRow.id)
        .with_for_update(skip_locked=True)
    ).all()
    moved = 0
    for row in rows:
        route_id = choose_route(row.number, known)
        if route_id == row.route_id:
            continue
        row.route_id = route_id
        session.add(
            MessageEventRow(
                association_id=association_id,
                message_id=row.id,
                at=now,
                event="reroute",
                state=row.state,
                detail="another route, for its own sends nothing now",
            )
        )
        moved += 1
    session.flush()
    return moved
