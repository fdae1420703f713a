"""What an import asks of the records: the rows that stand, by the keys that a file knows."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from service.agronomy.containers import CanEventKind
from service.records.base import Base
from service.records.engine import Session
from service.records.fields import (
    ContainerEventRow,
    ContainerRow,
    FactKind,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.people import (
    AreaRow,
    AssociationRow,
    ConsentEventRow,
    HouseholdPhoneRow,
    HouseholdRow,
    PhoneRow,
)


def add(session: Session, row: Base) -> None:
    """Add a row, so that it has its id."""
    session.add(row)
    session.flush()


def add_all(session: Session, rows: Sequence[Base]) -> None:
    """Add rows, so that they have their ids."""
    session.add_all(rows)
    session.flush()


def find_association(session: Session, code: str) -> AssociationRow | None:
    """Return the association with this code, or None."""
    return session.scalars(select(AssociationRow).where(AssociationRow.code == code)).one_or_none()


def find_areas(session: Session, association_id: int) -> dict[str, AreaRow]:
    """Return the areas by code."""
    rows = session.scalars(select(AreaRow).where(AreaRow.association_id == association_id))
    return {row.code: row for row in rows}


def find_households(session: Session, association_id: int) -> dict[str, HouseholdRow]:
    """Return the households by code."""
    rows = session.scalars(
        select(HouseholdRow).where(HouseholdRow.association_id == association_id)
    )
    return {row.code: row for row in rows}


def find_phones(session: Session, association_id: int) -> dict[str, PhoneRow]:
    """Return the phones by number."""
    rows = session.scalars(select(PhoneRow).where(PhoneRow.association_id == association_id))
    return {row.number: row for row in rows}


def find_links(session: Session, association_id: int) -> set[tuple[int, int]]:
    """Return the pairs of phone id and household id that belong together."""
    rows = session.execute(
        select(HouseholdPhoneRow.phone_id, HouseholdPhoneRow.household_id).where(
            HouseholdPhoneRow.association_id == association_id
        )
    )
    return {(phone_id, household_id) for phone_id, household_id in rows}


def find_consents(session: Session, association_id: int) -> dict[str, ConsentEventRow]:
    """Return what was said about consent, by key."""
    rows = session.scalars(
        select(ConsentEventRow).where(ConsentEventRow.association_id == association_id)
    )
    return {row.key: row for row in rows}


def find_plots(session: Session, association_id: int) -> dict[tuple[int, str], PlotRow]:
    """Return the plots by household id and code."""
    rows = session.scalars(select(PlotRow).where(PlotRow.association_id == association_id))
    return {(row.household_id, row.code): row for row in rows}


def find_plantings(session: Session, association_id: int) -> dict[tuple[int, str], PlantingRow]:
    """Return the plantings by plot id and code."""
    rows = session.scalars(select(PlantingRow).where(PlantingRow.association_id == association_id))
    return {(row.plot_id, row.code): row for row in rows}


def find_imported_days(
    session: Session, association_id: int
) -> Mapping[tuple[int, FactKind], PlantingFactRow]:
    """Return the last fact that an import told of each planting and kind."""
    rows = session.scalars(
        select(PlantingFactRow)
        .where(
            PlantingFactRow.association_id == association_id,
            PlantingFactRow.source == Source.IMPORT,
        )
        .order_by(PlantingFactRow.id)
    )
    return {(row.planting_id, row.kind): row for row in rows}


def find_containers(session: Session, association_id: int) -> dict[tuple[int, int], ContainerRow]:
    """Return the containers by household id and number."""
    rows = session.scalars(
        select(ContainerRow).where(ContainerRow.association_id == association_id)
    )
    return {(row.household_id, row.number): row for row in rows}


def find_container_events(
    session: Session, association_id: int
) -> Mapping[int, set[tuple[CanEventKind, date]]]:
    """Return what happened to each container by its id, as pairs of kind and day."""
    found: dict[int, set[tuple[CanEventKind, date]]] = defaultdict(set)
    rows = session.scalars(
        select(ContainerEventRow).where(ContainerEventRow.association_id == association_id)
    )
    for row in rows:
        found[row.container_id].add((row.kind, row.on))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where an open planting stands."""

    planting_id: int
    planting_code: str
    plot_id: int
    plot_code: str
    household_id: int
    household_code: str


def find_open_plantings(session: Session, association_id: int) -> list[Place]:
    """Return where each planting stands that is not closed, oldest first."""
    rows = session.execute(
        select(
            PlantingRow.id,
            PlantingRow.code,
            PlotRow.id,
            PlotRow.code,
            HouseholdRow.id,
            HouseholdRow.code,
        )
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(PlantingRow.association_id == association_id, PlantingRow.closed_on.is_(None))
        .order_by(PlantingRow.id)
    )
    return [
        Place(
            planting_id=planting_id,
            planting_code=planting_code,
            plot_id=plot_id,
            plot_code=plot_code,
            household_id=household_id,
            household_code=household_code,
        )
        for planting_id, planting_code, plot_id, plot_code, household_id, household_code in rows
    ]
