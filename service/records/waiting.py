"""How much waits for a person."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, or_, select

from service.records.engine import Session
from service.records.traffic import CallTaskRow, InboundRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """How many tasks and texts wait."""

    tasks: int
    texts: int


def waiting_counts(session: Session, association_id: int, *, today: date) -> Waiting:
    """Return how many tasks (but those put off to a later day) and unread texts there are."""
    tasks = session.execute(
        select(func.count()).where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.closed_at.is_(None),
            or_(CallTaskRow.rests_until.is_(None), CallTaskRow.rests_until <= today),
        )
    ).scalar_one()
    texts = session.execute(
        select(func.count()).where(
            InboundRow.association_id == association_id,
            InboundRow.to_read,
            InboundRow.read_at.is_(None),
        )
    ).scalar_one()
    return Waiting(tasks=tasks, texts=texts)
