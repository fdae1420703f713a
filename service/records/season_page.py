"""The doses of the plantings sown lately, for the season's page and its table to take away.

Each look is one statement over the whole association, and gives columns, not objects: a season
of a thousand households is some ten thousand doses.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select

from service.records.engine import Session
from service.records.fields import (
    DoseRow,
    DoseState,
    FactKind,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.people import HouseholdRow

CHUNK = 500  # rows that are held at once


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaCount:
    """How many doses of an area stand in one state."""

    area_id: int
    state: DoseState
    doses: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonDose:
    """A dose with where it stands; `on` of one that was done is the day it was given."""

    planting_id: int
    area_id: int
    household: str
    letter: str | None
    crop: str
    planted_on: date
    number: int
    on: date
    state: DoseState
    reason: str | None
    litres: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonFact:
    """A fact that decides the day or the state of doses."""

    planting_id: int
    kind: FactKind
    number: int | None
    on: date
    source: Source


_TELLING = (FactKind.SOWN, FactKind.EMERGED, FactKind.APPLIED, FactKind.NOT_APPLIED)


def counts_by_area(session: Session, association_id: int, *, since: date) -> list[AreaCount]:
    """Return how the doses of plantings sown since a day stand, by area and state."""
    rows = session.execute(
        select(HouseholdRow.area_id, DoseRow.state, func.count())
        .join(PlantingRow, PlantingRow.id == DoseRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(DoseRow.association_id == association_id, PlantingRow.planted_on >= since)
        .group_by(HouseholdRow.area_id, DoseRow.state)
        .order_by(HouseholdRow.area_id, DoseRow.state)
    )
    return [AreaCount(area_id=area_id, state=state, doses=doses) for area_id, state, doses in rows]


def season_doses(
    session: Session, association_id: int, *, since: date, state: DoseState | None = None
) -> Iterator[SeasonDose]:
    """Yield the doses of plantings sown since a day, by household, plot and number."""
    query = (
        select(
            PlantingRow.id,
            HouseholdRow.area_id,
            HouseholdRow.code,
            PlotRow.letter,
            PlantingRow.crop,
            PlantingRow.planted_on,
            DoseRow.number,
            DoseRow.due_on,
            DoseRow.state,
            DoseRow.reason,
            DoseRow.urine_l,
        )
        .join(PlantingRow, PlantingRow.id == DoseRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(DoseRow.association_id == association_id, PlantingRow.planted_on >= since)
        .order_by(HouseholdRow.code, PlotRow.letter, PlantingRow.id, DoseRow.number)
    )
    if state is not None:
        query = query.where(DoseRow.state == state)
    for row in session.execute(query.execution_options(yield_per=CHUNK)):
        planting_id, area_id, home, letter, crop, planted_on, number, on, stands, why, litres = row
        yield SeasonDose(
            planting_id=planting_id,
            area_id=area_id,
            household=home,
            letter=letter,
            crop=crop,
            planted_on=planted_on,
            number=number,
            on=on,
            state=stands,
            reason=why,
            litres=litres,
        )


def season_facts_told(
    session: Session, association_id: int, *, since: date
) -> Mapping[int, list[SeasonFact]]:
    """Return, by planting, what was told of sowing, emergence and doses, in the order it came."""
    found: dict[int, list[SeasonFact]] = defaultdict(list)
    rows = session.execute(
        select(
            PlantingFactRow.planting_id,
            PlantingFactRow.kind,
            PlantingFactRow.dose_number,
            PlantingFactRow.on,
            PlantingFactRow.source,
        )
        .join(PlantingRow, PlantingRow.id == PlantingFactRow.planting_id)
        .where(
            PlantingFactRow.association_id == association_id,
            PlantingFactRow.kind.in_(_TELLING),
            PlantingRow.planted_on >= since,
        )
        .order_by(PlantingFactRow.id)
    )
    for planting_id, kind, number, on, source in rows:
        found[planting_id].append(
            SeasonFact(planting_id=planting_id, kind=kind, number=number, on=on, source=source)
        )
    return found


def season_holds(
    session: Session, association_id: int, *, since: date
) -> Mapping[int, list[tuple[date, date]]]:
    """Return, by planting, the days on which it gets no dose, both ends included."""
    found: dict[int, list[tuple[date, date]]] = defaultdict(list)
    rows = session.execute(
        select(HoldRow.planting_id, HoldRow.first_on, HoldRow.last_on)
        .join(PlantingRow, PlantingRow.id == HoldRow.planting_id)
        .where(HoldRow.association_id == association_id, PlantingRow.planted_on >= since)
        .order_by(HoldRow.first_on)
    )
    for planting_id, first_on, last_on in rows:
        found[planting_id].append((first_on, last_on))
    return found
