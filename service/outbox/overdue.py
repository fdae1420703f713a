"""Time that ran out: of a text that waits, and of the lease on texts that were claimed."""

from datetime import datetime

from sqlalchemy import delete, select

from service.messages.lifecycle import Event, State
from service.outbox.steps import step
from service.records.engine import Session
from service.records.traffic import ClaimRow, MessageRow


def expire_overdue(session: Session, association_id: int, *, now: datetime) -> int:
    """Expire queued texts whose time has passed unsent; return how many."""
    rows = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.association_id == association_id,
            MessageRow.state == State.QUEUED,
            MessageRow.expires_at <= now,
        )
        .order_by(MessageRow.id)
        .with_for_update(skip_locked=True)
    ).all()
    for row in rows:
        step(session, row, Event.EXPIRE, now=now, detail="not sent in its time")
    return len(rows)


def lapse_leases(session: Session, association_id: int, *, now: datetime) -> int:
    """Make unknown what a lease that ran out still holds; return how many texts that is."""
    claims = session.scalars(
        select(ClaimRow)
        .where(ClaimRow.association_id == association_id, ClaimRow.expires_at <= now)
        .with_for_update(skip_locked=True)
    ).all()
    lost = 0
    for claim in claims:
        rows = session.scalars(
            select(MessageRow).where(
                MessageRow.id.in_(claim.messages["ids"]), MessageRow.state == State.CLAIMED
            )
        ).all()
        for row in rows:
            step(session, row, Event.LOSE, now=now, detail="lease ran out")
        lost += len(rows)
        session.execute(delete(ClaimRow).where(ClaimRow.id == claim.id))
    return lost
