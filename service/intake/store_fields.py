"""Stores the plots, plantings and containers of a folder."""

from collections.abc import Iterable, Mapping
from datetime import date

from service.intake.entries import ContainerEntry, PlantingEntry, PlotEntry
from service.intake.ledger import Ledger, Touched
from service.records.base import Base
from service.records.fields import (
    ContainerEventRow,
    ContainerRow,
    FactKind,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.intake import (
    add_all,
    find_container_events,
    find_containers,
    find_imported_days,
    find_plantings,
    find_plots,
)


def store_plots(
    ledger: Ledger,
    entries: Iterable[PlotEntry],
    households: Mapping[str, int],
    touched: Touched,
) -> dict[tuple[str, str], int]:
    """Store the plots and return the ids of the folder's by household and code."""
    standing = find_plots(ledger.session, ledger.association_id)
    rows: dict[tuple[str, str], PlotRow] = {}
    new: list[Base] = []
    for entry in entries:
        household_id = households[entry.household]
        row = standing.get((household_id, entry.code))
        if row is None:
            row = PlotRow(
                association_id=ledger.association_id,
                household_id=household_id,
                code=entry.code,
                letter=entry.letter,
                area_m2=entry.area_m2,
                soil=entry.soil,
                recorded_at=ledger.now,
            )
            new.append(row)
            ledger.count_added()
        else:
            values = {"letter": entry.letter, "area_m2": entry.area_m2, "soil": entry.soil}
            if ledger.settle("plot", row, values) & {"area_m2", "soil"}:
                touched.plots.add(row.id)
        rows[entry.household, entry.code] = row
    add_all(ledger.session, new)
    return {key: row.id for key, row in rows.items()}


def store_plantings(
    ledger: Ledger,
    entries: Iterable[PlantingEntry],
    plots: Mapping[tuple[str, str], int],
    touched: Touched,
) -> None:
    """Store the plantings; another day of planting or emergence is appended as a fact.

    A day is news where it differs from what an import told last: what the grower has told since
    is not undone by the same file.
    """
    standing = find_plantings(ledger.session, ledger.association_id)
    told = find_imported_days(ledger.session, ledger.association_id)
    new: list[tuple[PlantingRow, PlantingEntry]] = []
    facts: list[Base] = []
    for entry in entries:
        plot_id = plots[entry.household, entry.plot]
        row = standing.get((plot_id, entry.code))
        if row is None:
            new.append((_new_planting(ledger, entry, plot_id), entry))
            ledger.count_added()
            continue
        sown = told.get((row.id, FactKind.SOWN))
        emerged = told.get((row.id, FactKind.EMERGED))
        news = []
        if entry.planted_on != (row.planted_on if sown is None else sown.on):
            facts.append(_fact(ledger, row.id, FactKind.SOWN, entry.planted_on))
            news.append("planted_on")
        if entry.emerged_on not in (None, None if emerged is None else emerged.on):
            facts.append(_fact(ledger, row.id, FactKind.EMERGED, entry.emerged_on))
            news.append("emerged_on")
        if ledger.settle("planting", row, _planting_values(entry), news=news):
            touched.plantings.add(row.id)
    add_all(ledger.session, [row for row, _ in new])
    facts += [
        _fact(ledger, row.id, FactKind.EMERGED, entry.emerged_on)
        for row, entry in new
        if entry.emerged_on is not None
    ]
    add_all(ledger.session, facts)
    touched.plantings.update(row.id for row, _ in new)


def _new_planting(ledger: Ledger, entry: PlantingEntry, plot_id: int) -> PlantingRow:
    return PlantingRow(
        association_id=ledger.association_id,
        plot_id=plot_id,
        code=entry.code,
        planted_on=entry.planted_on,
        closed_on=None,
        recorded_at=ledger.now,
        **_planting_values(entry),
    )


def _planting_values(entry: PlantingEntry) -> dict[str, object]:
    return {
        "crop": entry.crop,
        "season": entry.season,
        "water_ratio": entry.water_ratio,
        "litres_per_m2": entry.litres_per_m2,
        **({"regime": entry.regime} if "regime" in entry.told else {}),
        "season_days": entry.season_days,
        "first_harvest_on": entry.first_harvest_on,
        "transplanted": entry.transplanted,
    }


def _fact(ledger: Ledger, planting_id: int, kind: FactKind, on: date) -> PlantingFactRow:
    return PlantingFactRow(
        association_id=ledger.association_id,
        planting_id=planting_id,
        kind=kind,
        dose_number=None,
        on=on,
        source=Source.IMPORT,
        flag=None,
        recorded_at=ledger.now,
    )


def store_containers(
    ledger: Ledger,
    entries: Iterable[ContainerEntry],
    households: Mapping[str, int],
    touched: Touched,
) -> None:
    """Store the containers; each day on which something happened is appended once."""
    standing = find_containers(ledger.session, ledger.association_id)
    known = find_container_events(ledger.session, ledger.association_id)
    rows: list[tuple[ContainerRow, ContainerEntry]] = []
    new: list[Base] = []
    for entry in entries:
        household_id = households[entry.household]
        row = standing.get((household_id, entry.number))
        if row is None:
            row = ContainerRow(
                association_id=ledger.association_id,
                household_id=household_id,
                number=entry.number,
                litres=entry.litres,
                longer_rest=entry.longer_rest,
                recorded_at=ledger.now,
            )
            new.append(row)
            touched.households.add(household_id)
            ledger.count_added()
        else:
            values = {"litres": entry.litres, "longer_rest": entry.longer_rest}
            news = [
                f"{kind.value}_on"
                for kind, on in entry.happened
                if (kind, on) not in known.get(row.id, ())
            ]
            if ledger.settle("container", row, values, news=news):
                touched.households.add(household_id)
        rows.append((row, entry))
    add_all(ledger.session, new)
    add_all(
        ledger.session,
        [
            ContainerEventRow(
                association_id=ledger.association_id,
                container_id=row.id,
                kind=kind,
                on=on,
                source=Source.IMPORT,
                recorded_at=ledger.now,
            )
            for row, entry in rows
            for kind, on in entry.happened
            if (kind, on) not in known.get(row.id, ())
        ],
    )
