"""What the page of one household shows beside its phones, plantings and containers."""

from collections.abc import Collection

from sqlalchemy import or_, select

from service.records.engine import Session
from service.records.fields import FactKind, PlantingFactRow, PlantingRow, PlotRow
from service.records.household_list import HouseholdLine
from service.records.people import AreaRow, HouseholdRow
from service.records.traffic import CallTaskRow


def household_by_id(session: Session, association_id: int, household_id: int) -> HouseholdLine:
    """Return a household with its area."""
    household, area = session.execute(
        select(HouseholdRow, AreaRow)
        .join(AreaRow, AreaRow.id == HouseholdRow.area_id)
        .where(HouseholdRow.association_id == association_id, HouseholdRow.id == household_id)
    ).one()
    return HouseholdLine(household=household, area=area)


def plots_of_household(session: Session, association_id: int, household_id: int) -> list[PlotRow]:
    """Return the plots of a household by letter, those without one last."""
    return list(
        session.scalars(
            select(PlotRow)
            .where(PlotRow.association_id == association_id, PlotRow.household_id == household_id)
            .order_by(PlotRow.letter.is_(None), PlotRow.letter, PlotRow.id)
        )
    )


def plantings_of_household(
    session: Session, association_id: int, household_id: int
) -> list[tuple[PlantingRow, PlotRow]]:
    """Return every planting of a household with its plot, newest first."""
    rows = session.execute(
        select(PlantingRow, PlotRow)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .where(PlantingRow.association_id == association_id, PlotRow.household_id == household_id)
        .order_by(PlantingRow.id.desc())
    )
    return [(planting, plot) for planting, plot in rows]


def failed_plantings(session: Session, association_id: int, household_id: int) -> frozenset[int]:
    """Return the ids of a household's plantings whose crop failed or never came up."""
    return frozenset(
        session.scalars(
            select(PlantingFactRow.planting_id)
            .join(PlantingRow, PlantingRow.id == PlantingFactRow.planting_id)
            .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
            .where(
                PlantingFactRow.association_id == association_id,
                PlantingFactRow.kind == FactKind.FAILED,
                PlotRow.household_id == household_id,
            )
        )
    )


def open_tasks_of_household(
    session: Session, association_id: int, household_id: int, *, phones: Collection[int]
) -> list[CallTaskRow]:
    """Return what a person should do about a household or one of its phones, oldest first."""
    return list(
        session.scalars(
            select(CallTaskRow)
            .where(
                CallTaskRow.association_id == association_id,
                CallTaskRow.closed_at.is_(None),
                or_(CallTaskRow.household_id == household_id, CallTaskRow.phone_id.in_(phones)),
            )
            .order_by(CallTaskRow.opened_at, CallTaskRow.id)
        )
    )
