"""Single rows by their ids, each asked for with its tenant."""

from sqlalchemy import select

from service.records.engine import Session
from service.records.fields import DoseRow
from service.records.people import HouseholdRow
from service.records.traffic import RouteRow


def dose_by_id(session: Session, association_id: int, dose_id: int) -> DoseRow:
    """Return a dose."""
    return session.scalars(
        select(DoseRow).where(DoseRow.association_id == association_id, DoseRow.id == dose_id)
    ).one()


def household_by_code(session: Session, association_id: int, code: str) -> HouseholdRow | None:
    """Return the household with this code, or None."""
    return session.scalars(
        select(HouseholdRow).where(
            HouseholdRow.association_id == association_id, HouseholdRow.code == code
        )
    ).one_or_none()


def route_by_name(session: Session, association_id: int, name: str) -> RouteRow | None:
    """Return the association's route of this name, or None."""
    return session.scalars(
        select(RouteRow).where(RouteRow.association_id == association_id, RouteRow.name == name)
    ).one_or_none()
