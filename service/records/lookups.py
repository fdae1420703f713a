"""Single rows by their ids, each asked for with its tenant."""

from sqlalchemy import select

from service.records.engine import Session
from service.records.fields import DoseRow, PlantingRow, PlotRow


def dose_by_id(session: Session, association_id: int, dose_id: int) -> DoseRow:
    """Return a dose."""
    return session.scalars(
        select(DoseRow).where(DoseRow.association_id == association_id, DoseRow.id == dose_id)
    ).one()


def mark_told(session: Session, association_id: int, dose_id: int) -> None:
    """Write down that the grower has heard of a dose, which fixes its litres."""
    dose_by_id(session, association_id, dose_id).told = True
    session.flush()


def letter_of_dose(session: Session, association_id: int, dose_id: int) -> str | None:
    """Return the letter of the plot that a dose is for, if it has one."""
    return session.scalars(
        select(PlotRow.letter)
        .join(PlantingRow, PlantingRow.plot_id == PlotRow.id)
        .join(DoseRow, DoseRow.planting_id == PlantingRow.id)
        .where(DoseRow.association_id == association_id, DoseRow.id == dose_id)
    ).one()
