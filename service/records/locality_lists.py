"""What was entered for areas, and which plantings it touches."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select

from service.agronomy.local import LocalKey, LocalValue
from service.agronomy.season import Soil
from service.records.engine import Session
from service.records.fields import PlantingRow, PlotRow
from service.records.localities import AreaHoldRow, LocalValueRow, SeasonSpanRow
from service.records.people import AuditRow, HouseholdRow

HOLD = "area-hold"  # as the audit names it


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantingPlace:
    """Where a planting stands, for a list of several."""

    planting_id: int
    letter: str | None
    alias: str


def area_hold_by_id(session: Session, association_id: int, hold_id: int) -> AreaHoldRow:
    """Return a hold, withdrawn or not."""
    return session.scalars(
        select(AreaHoldRow).where(
            AreaHoldRow.association_id == association_id, AreaHoldRow.id == hold_id
        )
    ).one()


def season_span_by_id(session: Session, association_id: int, span_id: int) -> SeasonSpanRow:
    """Return a season of an area, withdrawn or not."""
    return session.scalars(
        select(SeasonSpanRow).where(
            SeasonSpanRow.association_id == association_id, SeasonSpanRow.id == span_id
        )
    ).one()


def local_value_by_id(session: Session, association_id: int, value_id: int) -> LocalValueRow:
    """Return a local figure, withdrawn or not."""
    return session.scalars(
        select(LocalValueRow).where(
            LocalValueRow.association_id == association_id, LocalValueRow.id == value_id
        )
    ).one()


def local_values(session: Session, association_id: int) -> list[LocalValueRow]:
    """Return the figures that stand here, by crop and kind, the last entered first."""
    return list(
        session.scalars(
            select(LocalValueRow)
            .where(
                LocalValueRow.association_id == association_id,
                LocalValueRow.withdrawn_at.is_(None),
            )
            .order_by(
                LocalValueRow.crop.is_not(None),
                LocalValueRow.crop,
                LocalValueRow.key,
                LocalValueRow.id.desc(),
            )
        )
    )


def planted_households(session: Session, association_id: int, *, area_id: int | None) -> list[int]:
    """Return the households of an area, or of all (None), that have an open planting."""
    query = (
        select(HouseholdRow.id)
        .join(PlotRow, PlotRow.household_id == HouseholdRow.id)
        .join(PlantingRow, PlantingRow.plot_id == PlotRow.id)
        .where(HouseholdRow.association_id == association_id, PlantingRow.closed_on.is_(None))
        .distinct()
        .order_by(HouseholdRow.id)
    )
    if area_id is not None:
        query = query.where(HouseholdRow.area_id == area_id)
    return list(session.scalars(query))


def planting_places(
    session: Session, association_id: int, plantings: Collection[int]
) -> dict[int, PlantingPlace]:
    """Return where these plantings stand, by their ids."""
    rows = session.execute(
        select(PlantingRow.id, PlotRow.letter, HouseholdRow.alias)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(PlantingRow.association_id == association_id, PlantingRow.id.in_(plantings))
    )
    return {
        planting_id: PlantingPlace(planting_id=planting_id, letter=letter, alias=alias)
        for planting_id, letter, alias in rows
    }


def entry_of_hold(session: Session, association_id: int, hold_id: int) -> AuditRow | None:
    """Return the audit's last row about a hold, which tells what moved with it."""
    return session.scalars(
        select(AuditRow)
        .where(
            AuditRow.association_id == association_id,
            AuditRow.subject == HOLD,
            AuditRow.subject_id == hold_id,
        )
        .order_by(AuditRow.id.desc())
        .limit(1)
    ).one_or_none()


def value_of(row: LocalValueRow) -> LocalValue:
    """Return a figure as the plan takes it."""
    return LocalValue(
        key=LocalKey(row.key),
        value=row.value,
        source=row.source,
        area_id=row.area_id,
        crop=row.crop,
        soil=None if row.soil is None else Soil(row.soil),
    )
