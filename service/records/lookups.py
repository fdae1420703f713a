"""Single rows by their ids, each asked for with its tenant."""

from sqlalchemy import select

from service.records.engine import Session
from service.records.fields import DoseRow


def dose_by_id(session: Session, association_id: int, dose_id: int) -> DoseRow:
    """Return a dose."""
    return session.scalars(
        select(DoseRow).where(DoseRow.association_id == association_id, DoseRow.id == dose_id)
    ).one()
