"""The whole dose calendar worked out again from the tables of two published packages.

Season lengths: FAO-56, Table 11, as pyfao56 1.4 carries it; days to emergence: parameter
EmergenceCD of aquacrop 3.1. Where neither has a crop the figure stands here with its own source.
The pattern of doses is common practice, no source; the cut-off joins Joensson et al. 2004 (2/3 of
the season) and WHO 2006, vol. 4 (one month before harvest, from memory).
"""

from dataclasses import dataclass
from datetime import date, timedelta

import pytest
from aquacrop.entities.crops.crop_params import crop_params
from pyfao56.tools.tables import FAO56Tables

from service.agronomy.crops import crop, crops
from service.agronomy.season import SeasonFacts, plan_season

PLANTED_ON = date(2027, 3, 15)
STAGES = ["Lini", "Ldev", "Lmid", "Llate"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Where a crop's two figures are: a row of Table 11 or days, a model's crop or days."""

    season: tuple[str, str] | int
    emergence: str | int


ROWS = {
    "maize-grain": Row(season=("maize grain", "nigeria humid"), emergence="Maize"),
    "maize-green": Row(season=("maize sweet", "philippines"), emergence="Maize"),
    "sorghum": Row(season=("sorghum", "usa pakistan mediterranean"), emergence="Sorghum"),
    "pearl-millet": Row(season=("millet", "pakistan"), emergence=5),  # 4 to 6, from memory
    "rice-transplanted": Row(season=("rice", "tropics mediterranean"), emergence="PaddyRice"),
    "tomato": Row(season=("tomato", "arid region"), emergence="Tomato"),
    "cabbage": Row(season=90, emergence=5),  # between crucifers of 80 and 95; from memory
    "kale": Row(season=75, emergence=5),  # EcoCrop, collards, 60 to 85; from memory
    "onion": Row(season=("onion dry", "mediterranean"), emergence=5),  # from memory
    "amaranth": Row(season=45, emergence=5),  # EcoCrop, 30 to 60; from memory
    "spinach": Row(season=("spinach", "mediterranean"), emergence=8),  # from memory
    "pepper": Row(season=("sweet peppers bell", "europe mediterranean"), emergence=5),  # memory
    "eggplant": Row(season=("eggplant", "arid region"), emergence=5),  # from memory
    "okra": Row(season=55, emergence=7),  # EcoCrop, 50 to 180; from memory
    "pumpkin": Row(season=("pumpkin winter squash", "mediterranean"), emergence=7),  # memory
    "zucchini": Row(season=("squash zucchini", "mediterranean europe"), emergence=7),  # memory
    "cassava": Row(season=("cassava year 1", "tropical regions"), emergence="Cassava"),
    "potato": Row(season=("potato", "semiarid climate"), emergence="Potato"),
    "sweet-potato": Row(season=("sweet potato", "tropical regions"), emergence=7),  # from memory
    "sunflower": Row(season=("sunflower", "mediterranean california"), emergence="Sunflower"),
}
SUM_IS_NOT_THE_TOTAL = {"sorghum": 125}


def table_row(name: str, region: str) -> dict[str, str]:
    """Return the first row of Table 11 with this name and region: its first planting date."""
    table = FAO56Tables().table11
    found = table.loc[(table["Crop"] == name) & (table["Region"] == region)]
    return {column: str(found.iloc[0][column]) for column in (*STAGES, "Total")}


def season_length(row: Row) -> int:
    return row.season if isinstance(row.season, int) else int(table_row(*row.season)["Total"])


def emergence_day(row: Row) -> int:
    if isinstance(row.emergence, int):
        return row.emergence
    return int(crop_params[row.emergence]["EmergenceCD"])


def days_by_hand(length: int, emergence: int) -> list[int]:
    """Return the days of the doses that are left, from nothing of the service."""
    last = min(length * 2 // 3, length - 30)
    weekly = [emergence + 7 * week for week in (1, 2, 3, 4, 6, 8)]
    return [day for day in [0, *weekly] if day <= last]


def test_the_calendar_has_every_crop_that_can_be_planned() -> None:
    assert set(ROWS) == {name for name, row in crops().items() if not row.legume | row.perennial}


@pytest.mark.parametrize("crop_id", ROWS)
def test_dose_days_follow_from_the_packages(crop_id: str) -> None:
    """One harvest at the season's end, and a dose at planting for each crop."""
    length, emergence = season_length(ROWS[crop_id]), emergence_day(ROWS[crop_id])
    facts = SeasonFacts(
        crop=crop(crop_id),
        planted_on=PLANTED_ON,
        area_m2=100,
        first_harvest_on=PLANTED_ON + timedelta(days=length),
        transplanted=True,
    )

    plan = plan_season(facts)

    assert plan.season_days == length
    assert [(dose.due_on - PLANTED_ON).days for dose in plan.doses] == days_by_hand(
        length, emergence
    )
    assert (plan.cutoff_on - PLANTED_ON).days == min(length * 2 // 3, length - 30)


@pytest.mark.parametrize(
    "crop_id", [name for name, row in ROWS.items() if not isinstance(row.season, int)]
)
def test_season_lengths_are_the_sums_of_their_stages(crop_id: str) -> None:
    """FAO-56, Table 11: initial, development, middle and late days; sorghum's total is 5 more."""
    season = ROWS[crop_id].season
    assert not isinstance(season, int)

    row = table_row(*season)

    total = sum(int(row[stage]) for stage in STAGES)
    assert total == SUM_IS_NOT_THE_TOTAL.get(crop_id, crop(crop_id).season_days)
