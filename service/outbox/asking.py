"""Texts in doubt that the gateway may be asked about: once after a minute, again after ten."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import or_, select, update

from service.messages.lifecycle import State
from service.outbox.parts import parts_of
from service.outbox.retry import ASKED_AFTER
from service.records.engine import Session
from service.records.traffic import MessageRow

MOST_AT_ONCE = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What became of the text, or of its parts, under these ids?"""

    message_id: int
    number: str
    gateway_ids: tuple[str, ...]


def questions(
    session: Session, association_id: int, route_id: int, *, now: datetime
) -> list[Question]:
    """Return what to ask a route's gateway now, each counted as asked.

    A text whose id nobody knows cannot be asked about; a person decides about it.
    """
    due = [
        (MessageRow.asks == asked) & (MessageRow.changed_at <= now - wait)
        for asked, wait in enumerate(ASKED_AFTER)
    ]
    rows = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.association_id == association_id,
            MessageRow.route_id == route_id,
            MessageRow.state == State.UNKNOWN,
            MessageRow.gateway_id.is_not(None),
            or_(*due),
        )
        .order_by(MessageRow.id)
        .limit(MOST_AT_ONCE)
        .with_for_update(skip_locked=True)
    ).all()
    session.execute(
        update(MessageRow)
        .where(MessageRow.id.in_([row.id for row in rows]))
        .values(asks=MessageRow.asks + 1)
    )
    return [
        Question(message_id=row.id, number=row.number, gateway_ids=_ids(session, row))
        for row in rows
    ]


def _ids(session: Session, row: MessageRow) -> tuple[str, ...]:
    parts = tuple(part.gateway_id for part in parts_of(session, row))
    return parts or (() if row.gateway_id is None else (row.gateway_id,))
