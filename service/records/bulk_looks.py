"""Whole households to plan in bulk: rows to look at only, which no session keeps or writes.

A look has the columns that planning reads, under the names they have in the table's class.
"""

from collections import defaultdict, namedtuple
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, cast

from sqlalchemy import Column, ColumnElement, Table, select

from service.records.area_book import AreaBook, area_book
from service.records.base import Base
from service.records.containers import ContainerBundle
from service.records.engine import Session
from service.records.fields import (
    ContainerEventRow,
    ContainerRow,
    DoseRow,
    DoseState,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
)
from service.records.locality_book import locality_book
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle

HouseholdSpan = tuple[int, int]
"""The first and last id of some households, both included."""

MOST_STRANGERS = 4  # for each id asked for, so many others may lie between

# the names are the columns': they are written once, and a tuple costs a tenth of a table's row
_tuple_type: Callable[[str, list[str]], Any] = namedtuple  # noqa: PYI024 -- its fields are computed


class _Looks:
    """Some columns of a table, and how a row of them becomes a look."""

    def __init__(self, row: type[Base], names: str) -> None:
        self.table = cast("Table", row.__table__)
        self.columns: list[Column[Any]] = [self.table.c[name] for name in names.split()]
        make: Callable[[Sequence[object]], Any] = _tuple_type("Look", names.split())._make
        self.make = make


# what is a planting's, a plot's or a household's own comes first: `alike` leaves it out
_OWN_OF_PLANTING = "id association_id plot_id planted_on first_harvest_on season_days regime"
_OWN_OF_PLOT = "id household_id area_m2"
_OWN_OF_HOUSEHOLD = "id adults children collected_share regime"
_PLANTING = _Looks(
    PlantingRow,
    f"{_OWN_OF_PLANTING} crop season water_ratio litres_per_m2 transplanted",
)
_PLOT = _Looks(PlotRow, f"{_OWN_OF_PLOT} soil hazards site_ok_at")
_HOUSEHOLD = _Looks(HouseholdRow, f"{_OWN_OF_HOUSEHOLD} area_id avoid_weekday")
_FACT = _Looks(PlantingFactRow, "planting_id kind dose_number on litres recorded_at")
_HOLD = _Looks(HoldRow, "planting_id first_on last_on recorded_at")
_DOSE = _Looks(
    DoseRow,
    "planting_id id number due_on closes_on urine_l water_l short_l revision state reason told",
)
_CAN = _Looks(ContainerRow, "id household_id number litres longer_rest")
_EVENT = _Looks(ContainerEventRow, "container_id kind on")


_Row = tuple[object, ...]
_PLANTING_FROM = len(_OWN_OF_PLANTING.split())
_PLOT_FROM = len(_OWN_OF_PLOT.split())
_HOUSEHOLD_FROM = len(_OWN_OF_HOUSEHOLD.split())


def household_spans(session: Session, association_id: int, *, size: int) -> Iterator[HouseholdSpan]:
    """Give the association's households in spans of so many, in the order of their ids."""
    last = 0
    while True:
        ids = session.scalars(
            select(HouseholdRow.id)
            .where(HouseholdRow.association_id == association_id, HouseholdRow.id > last)
            .order_by(HouseholdRow.id)
            .limit(size)
        ).all()
        if not ids:
            return
        last = ids[-1]
        yield ids[0], last


def planting_looks(
    session: Session, association_id: int, span: HouseholdSpan
) -> dict[int, list[PlantingBundle]]:
    """Return the open plantings of a span's households, by household, oldest first."""
    plantings, plots, homes = _PLANTING.table.c, _PLOT.table.c, _HOUSEHOLD.table.c
    rows = session.execute(
        select(*_PLANTING.columns, *_PLOT.columns, *_HOUSEHOLD.columns)
        .join(_PLOT.table, plots.id == plantings.plot_id)
        .join(_HOUSEHOLD.table, homes.id == plots.household_id)
        .where(
            plantings.association_id == association_id,
            plantings.closed_on.is_(None),
            plots.household_id.between(*span),
        )
        .order_by(plantings.id)
    ).all()
    ids = [row[0] for row in rows]
    facts = _by_planting(session, association_id, ids, _FACT, "id")
    holds = _by_planting(session, association_id, ids, _HOLD, "first_on")
    doses = _by_planting(session, association_id, ids, _DOSE, "number")
    book = locality_book(session, association_id)
    plot_from = len(_PLANTING.columns)
    household_from = plot_from + len(_PLOT.columns)
    households: dict[int, HouseholdRow] = {}
    books: dict[int, AreaBook] = {}
    found: dict[int, list[PlantingBundle]] = defaultdict(list)
    for row in rows:
        planting = cast("PlantingRow", _PLANTING.make(row[:plot_from]))
        plot = cast("PlotRow", _PLOT.make(row[plot_from:household_from]))
        household = households.get(plot.household_id)
        if household is None:
            household = cast("HouseholdRow", _HOUSEHOLD.make(row[household_from:]))
            households[household.id] = household
            if household.area_id not in books:
                books[household.area_id] = area_book(book, household.area_id)
        found[household.id].append(
            PlantingBundle(
                planting=planting,
                plot=plot,
                household=household,
                facts=tuple(facts.get(planting.id, ())),
                holds=tuple(holds.get(planting.id, ())),
                doses=tuple(doses.get(planting.id, ())),
                book=books[household.area_id],
            )
        )
    return found


def alike(bundle: PlantingBundle) -> tuple[object, ...]:
    """Return what a look shares with all that are planned like it, but for days and area.

    That is every column but a few, who eats the crop among them: the containers are asked that.
    What was reported, held or stored is not in it.
    """
    planting, plot = cast("_Row", bundle.planting), cast("_Row", bundle.plot)
    household = cast("_Row", bundle.household)
    return (
        *planting[_PLANTING_FROM:],
        *plot[_PLOT_FROM:],
        *household[_HOUSEHOLD_FROM:],
    )


def has_uses(session: Session, association_id: int) -> bool:
    """Say whether any dose was ever poured, or may have been."""
    used = (DoseRow.state == state for state in (DoseState.DONE, DoseState.NOT_KNOWN))
    own = select(DoseRow.id).where(DoseRow.association_id == association_id)
    # one state at a time: the index then answers at once, however many doses there are
    return any(session.scalar(own.where(state).limit(1)) is not None for state in used)


def container_looks(
    session: Session, association_id: int, households: Sequence[int]
) -> list[ContainerBundle]:
    """Return the containers of these households by number, with what happened to them."""
    cans, homes, happened = _CAN.table.c, _HOUSEHOLD.table.c, _EVENT.table.c
    rows = session.execute(
        select(*_CAN.columns, homes.regime, homes.area_id)
        .join(_HOUSEHOLD.table, homes.id == cans.household_id)
        .where(cans.association_id == association_id, _among(cans.household_id, households))
        .order_by(cans.number, cans.id)
    ).all()
    ids = [row[0] for row in rows]
    events: dict[int, list[ContainerEventRow]] = defaultdict(list)
    for row in session.execute(
        select(*_EVENT.columns)
        .where(happened.association_id == association_id, _among(happened.container_id, ids))
        .order_by(happened.on, happened.id)
    ).all():
        events[row[0]].append(cast("ContainerEventRow", _EVENT.make(row)))
    wanted = frozenset(households)
    return [
        ContainerBundle(
            container=cast("ContainerRow", _CAN.make(row[:-2])),
            events=tuple(events.get(row[0], ())),
            regime=row[-2],
            area_id=row[-1],
        )
        for row in rows
        if row.household_id in wanted
    ]


def _by_planting(
    session: Session, association_id: int, ids: Sequence[int], looks: _Looks, order: str
) -> Mapping[int, list[Any]]:
    own = looks.table.c
    # by the plantings alone: while a season's first doses come in the server has no figures for
    # them, and would look through all of the association's as well
    of_association = own.association_id + 0 == association_id
    query = (
        select(*looks.columns)
        .where(of_association, _among(own.planting_id, ids))
        .order_by(own[order])
    )
    found: dict[int, list[Any]] = defaultdict(list)
    for row in session.execute(query).all():
        found[row[0]].append(looks.make(row))
    return found


def _among(column: Column[Any], ids: Sequence[int]) -> ColumnElement[bool]:
    # neighbours are mostly stored together, and a range is asked for with two numbers
    least, most = min(ids, default=0), max(ids, default=-1)
    if most - least < MOST_STRANGERS * len(ids):
        return column.between(least, most)
    return column.in_(ids)
