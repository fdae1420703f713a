"""The crop table's loader at the edge of what a row may say."""

from textwrap import dedent

import pytest

from service.agronomy.crops import load_crops
from service.agronomy.tables import TableError

ORIGIN = 'source = "a seed packet", found = "read"'


def a_row(*, first_harvest_days: int = 30, row_cm: int = 60, plant_cm: int = 50) -> str:
    return dedent(
        f"""
        [kale]
        season = {{ season_days = 90, {ORIGIN} }}
        emergence = {{ emergence_days = 7, {ORIGIN} }}
        first_harvest = {{ first_harvest_days = {first_harvest_days}, {ORIGIN} }}
        spacing = {{ row_cm = {row_cm}, plant_cm = {plant_cm}, {ORIGIN} }}
        [kale.nature]
        transplanted = false
        legume = false
        perennial = false
        needs_drained = false
        planting_dose = true
        eaten_raw = false
        source = "a seed packet"
        found = "read"
        """
    )


@pytest.mark.parametrize("day", [1, 90])
def test_a_first_harvest_may_lie_on_any_day_of_the_season_after_planting(day: int) -> None:
    assert load_crops(a_row(first_harvest_days=day))["kale"].first_harvest_days == day


def test_a_first_harvest_on_the_day_of_planting_stops_the_load() -> None:
    with pytest.raises(TableError, match="the first harvest must fall within the season"):
        load_crops(a_row(first_harvest_days=0))


@pytest.mark.parametrize("spacing", [{"row_cm": 0}, {"plant_cm": 0}], ids=["rows", "plants"])
def test_plants_without_a_distance_stop_the_load(spacing: dict[str, int]) -> None:
    with pytest.raises(TableError, match="plants need a distance of more than 0 cm"):
        load_crops(a_row(**spacing))


def test_plants_a_centimetre_apart_are_taken_at_their_word() -> None:
    kale = load_crops(a_row(row_cm=1, plant_cm=1))["kale"]

    assert (kale.row_cm, kale.plant_cm) == (1, 1)
