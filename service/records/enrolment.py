"""What taking in a household asks of the records: who shares a phone, and what is taken already."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select

from service.records.engine import Session
from service.records.fields import ContainerRow, PlantingRow, PlotRow
from service.records.people import (
    AreaRow,
    AssociationRow,
    ConsentEventRow,
    HouseholdPhoneRow,
    HouseholdRow,
)


def lock_association(session: Session, association_id: int) -> AssociationRow:
    """Return the association, kept from others who take in households until this one is saved.

    Two at once could give the same number or letter out twice.
    """
    return session.scalars(
        select(AssociationRow).where(AssociationRow.id == association_id).with_for_update()
    ).one()


def find_area(session: Session, association_id: int, area_id: int) -> AreaRow | None:
    """Return an area, or None where the association has none of that id."""
    return session.scalars(
        select(AreaRow).where(AreaRow.association_id == association_id, AreaRow.id == area_id)
    ).one_or_none()


def aliases_by_code(session: Session, association_id: int) -> dict[str, str]:
    """Return the alias of every household by its code."""
    rows = session.execute(
        select(HouseholdRow.code, HouseholdRow.alias).where(
            HouseholdRow.association_id == association_id
        )
    )
    return {row.code: row.alias for row in rows}


def consent_by_key(session: Session, association_id: int, key: str) -> ConsentEventRow | None:
    """Return what was said under a key, or None."""
    return session.scalars(
        select(ConsentEventRow).where(
            ConsentEventRow.association_id == association_id, ConsentEventRow.key == key
        )
    ).one_or_none()


def neighbours(session: Session, association_id: int, household_id: int) -> frozenset[int]:
    """Return the ids of the other households on this one's phones."""
    own = select(HouseholdPhoneRow.phone_id).where(
        HouseholdPhoneRow.association_id == association_id,
        HouseholdPhoneRow.household_id == household_id,
    )
    return frozenset(
        session.scalars(
            select(HouseholdPhoneRow.household_id).where(
                HouseholdPhoneRow.association_id == association_id,
                HouseholdPhoneRow.phone_id.in_(own),
                HouseholdPhoneRow.household_id != household_id,
            )
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SignRows:
    """The rows that carry what households are told apart by, oldest first."""

    households: tuple[HouseholdRow, ...]
    plots: tuple[PlotRow, ...]
    containers: tuple[ContainerRow, ...]


def sign_rows(session: Session, association_id: int, households: Collection[int]) -> SignRows:
    """Return these households with their plots and containers."""
    return SignRows(
        households=tuple(
            session.scalars(
                select(HouseholdRow)
                .where(
                    HouseholdRow.association_id == association_id, HouseholdRow.id.in_(households)
                )
                .order_by(HouseholdRow.id)
            )
        ),
        plots=tuple(
            session.scalars(
                select(PlotRow)
                .where(
                    PlotRow.association_id == association_id, PlotRow.household_id.in_(households)
                )
                .order_by(PlotRow.id)
            )
        ),
        containers=tuple(
            session.scalars(
                select(ContainerRow)
                .where(
                    ContainerRow.association_id == association_id,
                    ContainerRow.household_id.in_(households),
                )
                .order_by(ContainerRow.id)
            )
        ),
    )


def plot_by_id(session: Session, association_id: int, plot_id: int) -> PlotRow:
    """Return a plot."""
    return session.scalars(
        select(PlotRow).where(PlotRow.association_id == association_id, PlotRow.id == plot_id)
    ).one()


def plantings_on_plot(session: Session, association_id: int, plot_id: int) -> list[PlantingRow]:
    """Return every planting of a plot, oldest first."""
    return list(
        session.scalars(
            select(PlantingRow)
            .where(PlantingRow.association_id == association_id, PlantingRow.plot_id == plot_id)
            .order_by(PlantingRow.id)
        )
    )


def areas(session: Session, association_id: int) -> list[AreaRow]:
    """Return the association's areas by name."""
    return list(
        session.scalars(
            select(AreaRow)
            .where(AreaRow.association_id == association_id)
            .order_by(AreaRow.name, AreaRow.id)
        )
    )


def free_plots(session: Session, association_id: int, household_id: int) -> list[PlotRow]:
    """Return the household's plots on which nothing stands, oldest first."""
    planted = select(PlantingRow.plot_id).where(
        PlantingRow.association_id == association_id, PlantingRow.closed_on.is_(None)
    )
    return list(
        session.scalars(
            select(PlotRow)
            .where(
                PlotRow.association_id == association_id,
                PlotRow.household_id == household_id,
                PlotRow.id.not_in(planted),
            )
            .order_by(PlotRow.id)
        )
    )
