"""Plantings with all that belongs to them, in one look each."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from service.records.engine import Session
from service.records.fields import (
    DoseRow,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
)
from service.records.in_parts import in_parts
from service.records.locality_book import LocalityBook, locality_book
from service.records.people import AssociationRow, HouseholdRow


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantingBundle:
    """A planting, where it stands, its facts in the order they came, its holds and doses.

    `book` is what holds for the areas of its association.
    """

    planting: PlantingRow
    plot: PlotRow
    household: HouseholdRow
    facts: tuple[PlantingFactRow, ...]
    holds: tuple[HoldRow, ...]
    doses: tuple[DoseRow, ...]  # by number
    book: LocalityBook


def association(session: Session, association_id: int) -> AssociationRow:
    """Return the association."""
    return session.get_one(AssociationRow, association_id)


def associations(session: Session) -> list[AssociationRow]:
    """Return every association, oldest first."""
    return list(session.scalars(select(AssociationRow).order_by(AssociationRow.id)))


def open_plantings(
    session: Session, association_id: int, *, households: Collection[int] | None = None
) -> list[PlantingBundle]:
    """Return the plantings not closed yet (of these households, or of all), oldest first."""
    query = (
        select(PlantingRow, PlotRow, HouseholdRow)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(PlantingRow.association_id == association_id, PlantingRow.closed_on.is_(None))
        .order_by(PlantingRow.id)
    )
    if households is not None:
        query = query.where(HouseholdRow.id.in_(households))
    rows = session.execute(query).all()
    return _bundles(
        session, association_id, [(planting, plot, household) for planting, plot, household in rows]
    )


def all_plantings(session: Session, association_id: int) -> list[PlantingBundle]:
    """Return every planting, closed ones too, oldest first."""
    rows = session.execute(
        select(PlantingRow, PlotRow, HouseholdRow)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(PlantingRow.association_id == association_id)
        .order_by(PlantingRow.id)
    ).all()
    return _bundles(
        session, association_id, [(planting, plot, household) for planting, plot, household in rows]
    )


def plantings_ended(
    session: Session,
    association_id: int,
    *,
    since: date,
    households: Collection[int] | None = None,
) -> list[PlantingBundle]:
    """Return the plantings (of these households, or of all) closed since a day, oldest first."""
    query = (
        select(PlantingRow, PlotRow, HouseholdRow)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(PlantingRow.association_id == association_id, PlantingRow.closed_on >= since)
        .order_by(PlantingRow.id)
    )
    if households is not None:
        query = query.where(HouseholdRow.id.in_(households))
    rows = session.execute(query).all()
    found = [(planting, plot, household) for planting, plot, household in rows]
    return _bundles(session, association_id, found)


def planting_bundle(session: Session, association_id: int, planting_id: int) -> PlantingBundle:
    """Return one planting, open or closed."""
    row = session.execute(
        select(PlantingRow, PlotRow, HouseholdRow)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(PlantingRow.association_id == association_id, PlantingRow.id == planting_id)
    ).one()
    planting, plot, household = row
    return _bundles(session, association_id, [(planting, plot, household)])[0]


def households_of_plantings(
    session: Session, association_id: int, plantings: Collection[int]
) -> list[int]:
    """Return the households whose plots carry these plantings, each once."""
    found: set[int] = set()
    for part in in_parts(sorted(plantings)):
        found.update(
            session.scalars(
                select(PlotRow.household_id)
                .join(PlantingRow, PlantingRow.plot_id == PlotRow.id)
                .where(PlantingRow.association_id == association_id, PlantingRow.id.in_(part))
            )
        )
    return sorted(found)


def _bundles(
    session: Session, association_id: int, rows: list[tuple[PlantingRow, PlotRow, HouseholdRow]]
) -> list[PlantingBundle]:
    # a join would ask for each id again; one query for each table with the open ids is enough
    ids = [planting.id for planting, _, _ in rows]
    book = locality_book(session, association_id)
    facts: Mapping[int, list[PlantingFactRow]] = defaultdict(list)
    holds: Mapping[int, list[HoldRow]] = defaultdict(list)
    doses: Mapping[int, list[DoseRow]] = defaultdict(list)
    for part in in_parts(ids):
        for fact in session.scalars(
            select(PlantingFactRow)
            .where(PlantingFactRow.planting_id.in_(part))
            .order_by(PlantingFactRow.id)
        ):
            facts[fact.planting_id].append(fact)
        for hold in session.scalars(
            select(HoldRow).where(HoldRow.planting_id.in_(part)).order_by(HoldRow.first_on)
        ):
            holds[hold.planting_id].append(hold)
        for dose in session.scalars(
            select(DoseRow).where(DoseRow.planting_id.in_(part)).order_by(DoseRow.number)
        ):
            doses[dose.planting_id].append(dose)
    return [
        PlantingBundle(
            planting=planting,
            plot=plot,
            household=household,
            facts=tuple(facts[planting.id]),
            holds=tuple(holds[planting.id]),
            doses=tuple(doses[planting.id]),
            book=book,
        )
        for planting, plot, household in rows
    ]
