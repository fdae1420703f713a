"""Households by the code that people write on cards."""

from sqlalchemy import func, select

from service.records.engine import Session
from service.records.people import HouseholdRow


def household_coded(session: Session, association_id: int, code: str) -> HouseholdRow | None:
    """Return the household with a code, capital or small letters alike, or None."""
    return session.scalars(
        select(HouseholdRow)
        .where(
            HouseholdRow.association_id == association_id,
            func.lower(HouseholdRow.code) == code.lower(),
        )
        .order_by(HouseholdRow.id)
    ).first()
