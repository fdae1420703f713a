"""Whether each planting of a folder can be planned: the plan itself says so."""

from collections.abc import Iterable

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.dosing import usual_water_ratio
from service.agronomy.refusals import check_dates, check_drained, check_season_water
from service.agronomy.rules import rules
from service.agronomy.season import SeasonFacts, plan_season
from service.errors import RefusedError
from service.intake.entries import PlantingEntry, PlotEntry
from service.intake.faults import Faults

COLUMN_OF_REFUSAL = {
    "waterlogged": "crop",
    "water": "water_ratio",
    "over-ceiling": "litres_per_m2",
    "dates": "first_harvest_on",
}


def check_plans(
    plantings: Iterable[PlantingEntry], plots: Iterable[PlotEntry], faults: Faults
) -> None:
    """Note each planting that a plan refuses, with the plan's own sentence."""
    ground = {(plot.household, plot.code): plot for plot in plots}
    for entry in plantings:
        plot = ground.get((entry.household, entry.plot))
        if plot is None:
            continue
        try:
            _plan(entry, plot)
        except RefusedError as error:
            column = COLUMN_OF_REFUSAL.get(error.code, "")
            faults.add("plantings.csv", entry.row, column, error.sentence)


def _plan(entry: PlantingEntry, plot: PlotEntry) -> None:
    row = crop(entry.crop)
    # the files have no column for drained ground: a person confirms it on the form
    check_drained(row, drained=False)
    ratio = usual_water_ratio(entry.season) if entry.water_ratio is None else entry.water_ratio
    check_season_water(ratio, entry.season)
    check_dates(
        planted_on=entry.planted_on,
        emerged_on=entry.emerged_on,
        first_harvest_on=entry.first_harvest_on,
        season_ends_on=add_days(entry.planted_on, entry.season_days or row.season_days),
    )
    plan_season(
        SeasonFacts(
            crop=row,
            planted_on=entry.planted_on,
            area_m2=plot.area_m2,
            litres_per_m2=rules().litres_per_m2
            if entry.litres_per_m2 is None
            else entry.litres_per_m2,
            soil=plot.soil,
            emerged_on=entry.emerged_on,
            first_harvest_on=entry.first_harvest_on,
            season_days=entry.season_days,
            transplanted=entry.transplanted,
            water_ratio=ratio,
        )
    )
