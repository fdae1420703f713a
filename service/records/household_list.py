"""Households in a list, with what says how they stand, in a fixed number of looks."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, func, or_, select, true

from service.records.engine import Session
from service.records.fields import ContainerRow, PlantingRow, PlotRow
from service.records.people import (
    AreaRow,
    HouseholdPhoneRow,
    HouseholdRow,
)
from service.records.phones import PhoneBundle, phones_by_ids


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdLine:
    """A household and the area it lives in."""

    household: HouseholdRow
    area: AreaRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """How much of what a plan needs a household has."""

    plots: int = 0
    without_letter: int = 0
    plantings: int = 0  # open ones
    containers: int = 0
    longer_rest: int = 0  # of the containers


NO_GROUNDS = Grounds()


def count_households(session: Session, association_id: int, *, like: str = "") -> int:
    """Return how many households there are, or match what was searched for."""
    return session.execute(
        select(func.count())
        .select_from(HouseholdRow)
        .join(AreaRow, AreaRow.id == HouseholdRow.area_id)
        .where(HouseholdRow.association_id == association_id, _matches(like))
    ).scalar_one()


def household_lines(
    session: Session, association_id: int, *, first: int, most: int, like: str = ""
) -> list[HouseholdLine]:
    """Return households by area and code, `most` of them from the one numbered `first` on."""
    rows = session.execute(
        select(HouseholdRow, AreaRow)
        .join(AreaRow, AreaRow.id == HouseholdRow.area_id)
        .where(HouseholdRow.association_id == association_id, _matches(like))
        .order_by(AreaRow.name, HouseholdRow.code, HouseholdRow.id)
        .offset(first)
        .limit(most)
    )
    return [HouseholdLine(household=household, area=area) for household, area in rows]


def _matches(like: str) -> ColumnElement[bool]:
    if not like:
        return true()
    # SQLite folds ASCII letters only, so the usual spellings of a word are asked for each
    spellings = {like, like.lower(), like.upper(), like.title()}
    return or_(
        *(
            column.icontains(spelling, autoescape=True)
            for spelling in sorted(spellings)
            for column in (HouseholdRow.alias, HouseholdRow.code, AreaRow.name)
        )
    )


def phones_of_households(
    session: Session, association_id: int, households: Collection[int]
) -> Mapping[int, list[PhoneBundle]]:
    """Return, by household, its phones with all whom they serve, oldest first."""
    own: dict[int, list[int]] = defaultdict(list)
    for household_id, phone_id in session.execute(
        select(HouseholdPhoneRow.household_id, HouseholdPhoneRow.phone_id)
        .where(
            HouseholdPhoneRow.association_id == association_id,
            HouseholdPhoneRow.household_id.in_(households),
        )
        .order_by(HouseholdPhoneRow.phone_id)
    ):
        own[household_id].append(phone_id)
    ids = {phone_id for phone_ids in own.values() for phone_id in phone_ids}
    bundles = phones_by_ids(session, association_id, ids)
    return {household_id: [bundles[item] for item in ids] for household_id, ids in own.items()}


def grounds_of_households(
    session: Session, association_id: int, households: Collection[int]
) -> Mapping[int, Grounds]:
    """Return, by household, how many plots, open plantings and containers it has."""
    found: dict[int, dict[str, int]] = defaultdict(dict)
    plots = session.execute(
        select(PlotRow.household_id, func.count(), func.count(PlotRow.letter))
        .where(PlotRow.association_id == association_id, PlotRow.household_id.in_(households))
        .group_by(PlotRow.household_id)
    )
    for household_id, count, lettered in plots:
        found[household_id] |= {"plots": count, "without_letter": count - lettered}
    plantings = session.execute(
        select(PlotRow.household_id, func.count())
        .join(PlantingRow, PlantingRow.plot_id == PlotRow.id)
        .where(
            PlotRow.association_id == association_id,
            PlotRow.household_id.in_(households),
            PlantingRow.closed_on.is_(None),
        )
        .group_by(PlotRow.household_id)
    )
    for household_id, count in plantings:
        found[household_id]["plantings"] = count
    cans = session.execute(
        select(ContainerRow.household_id, ContainerRow.longer_rest, func.count())
        .where(
            ContainerRow.association_id == association_id,
            ContainerRow.household_id.in_(households),
        )
        .group_by(ContainerRow.household_id, ContainerRow.longer_rest)
    )
    for household_id, longer, count in cans:
        counts = found[household_id]
        counts["containers"] = counts.get("containers", 0) + count
        if longer:
            counts["longer_rest"] = count
    return {household_id: Grounds(**counts) for household_id, counts in found.items()}
