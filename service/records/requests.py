"""Wishes to join from numbers that nobody has enrolled."""

from datetime import datetime

from sqlalchemy import select, update

from service.records.engine import Session
from service.records.traffic import CallTaskRow, InboundRow, TaskKind


def request_number(session: Session, association_id: int, task_id: int) -> str:
    """Return the number (E.164) that asked to join."""
    return session.scalars(
        select(InboundRow.sender)
        .join(CallTaskRow, CallTaskRow.inbound_id == InboundRow.id)
        .where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.id == task_id,
            CallTaskRow.kind == TaskKind.ENROL,
        )
    ).one()


def close_request(
    session: Session, association_id: int, task_id: int, *, who: str, now: datetime
) -> None:
    """Close a wish to join that led to an enrolment; one closed before stays as it was."""
    session.execute(
        update(CallTaskRow)
        .where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.id == task_id,
            CallTaskRow.kind == TaskKind.ENROL,
            CallTaskRow.closed_at.is_(None),
        )
        .values(closed_at=now, closed_by=who, outcome="enrolled")
    )
