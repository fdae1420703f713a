"""Rows of plots, plantings and containers as checked values."""

import difflib
from datetime import date

from service.agronomy.containers import CanEventKind
from service.agronomy.crops import crops
from service.agronomy.dosing import Season
from service.agronomy.refusals import check_crop
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.errors import RefusedError
from service.intake.cells import Cells
from service.intake.entries import ContainerEntry, PlantingEntry, PlotEntry
from service.messages.letters import LETTERS
from service.records.limits import LIMITS


def read_plot(cells: Cells) -> PlotEntry:
    """Return a row of plots.csv."""
    letter = cells.raw("letter")
    return PlotEntry(
        row=cells.row.number,
        household=cells.code("household"),
        code=cells.code("code"),
        letter=cells.one_of("letter", LETTERS) if letter else None,
        area_m2=cells.number("area_m2"),
        soil=cells.choice("soil", Soil),
    )


def read_planting(cells: Cells, *, today: date) -> PlantingEntry:
    """Return a row of plantings.csv."""
    season_days = cells.number_or_blank("season_days")
    entry = PlantingEntry(
        row=cells.row.number,
        household=cells.code("household"),
        plot=cells.code("plot"),
        code=cells.code("code"),
        crop=_crop_id(cells),
        planted_on=cells.day("planted_on"),
        season=cells.choice("season", Season),
        water_ratio=cells.number_or_blank("water_ratio"),
        litres_per_m2=cells.number_or_blank("litres_per_m2"),
        regime=cells.choice("regime", Regime) if cells.raw("regime") else None,
        season_days=None if season_days is None else int(season_days),
        first_harvest_on=cells.day_or_blank("first_harvest_on"),
        transplanted=cells.yes_or_blank("transplanted"),
        emerged_on=cells.day_or_blank("emerged_on"),
        told=cells.row.told,
    )
    if not cells.broken:
        _order_of_days(cells, entry, today=today)
    return entry


def read_container(cells: Cells, *, today: date) -> ContainerEntry:
    """Return a row of containers.csv."""
    days = {
        kind: day
        for kind in CanEventKind
        if (day := cells.day_or_blank(f"{kind.value}_on")) is not None
    }
    for kind, day in days.items():
        if day > today:
            cells.refuse(f"{kind.value}_on", "This day has not come yet; give a day up to today.")
    if not cells.broken:
        _order_of_events(cells, days)
    return ContainerEntry(
        row=cells.row.number,
        household=cells.code("household"),
        number=cells.whole("number"),
        litres=cells.number("litres"),
        longer_rest=cells.yes("longer_rest"),
        happened=tuple(days.items()),
    )


def _crop_id(cells: Cells) -> str:
    cell = cells.filled("crop").casefold()
    if not cell:
        return ""
    row = crops().get(cell)
    if row is None:
        near = difflib.get_close_matches(cell, crops(), n=1)
        advice = f"did you mean {near[0]}?" if near else "write one such as maize-grain."
        cells.refuse("crop", f"There is no such crop in the table; {advice}")
        return ""
    try:
        check_crop(row)
    except RefusedError as error:
        cells.refuse("crop", error.sentence)
    return cell


def _order_of_days(cells: Cells, entry: PlantingEntry, *, today: date) -> None:
    if abs((entry.planted_on - today).days) > LIMITS.planted_days:
        cells.refuse("planted_on", "This is years from today; correct the year.")
    if entry.first_harvest_on is not None and entry.first_harvest_on <= entry.planted_on:
        cells.refuse("first_harvest_on", "The harvest is not after the planting; correct one.")
    if entry.emerged_on is None:
        return
    if entry.emerged_on < entry.planted_on:
        cells.refuse("emerged_on", "The plants are up before they were planted; correct one.")
    elif entry.emerged_on > today:
        cells.refuse("emerged_on", "This day has not come yet; leave it blank until it has.")


def _order_of_events(cells: Cells, days: dict[CanEventKind, date]) -> None:
    opened, sealed = days.get(CanEventKind.OPENED), days.get(CanEventKind.SEALED)
    refilled, emptied = days.get(CanEventKind.REFILLED), days.get(CanEventKind.EMPTIED)
    if opened and sealed and sealed < opened:
        cells.refuse("sealed_on", "The can is sealed before its filling began; correct one.")
    if refilled and (sealed is None or refilled < sealed):
        cells.refuse("refilled_on", "Only a sealed can is topped up; give its day of sealing too.")
    # a day of emptying before the filling began is of the can's round before this one
    if opened and sealed and emptied and opened <= emptied < sealed:
        cells.refuse("emptied_on", "The can is emptied before it was sealed; correct one.")
