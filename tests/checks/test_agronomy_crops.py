"""The crop table against FAO-56 and AquaCrop, as two published packages carry them."""

import pytest
from aquacrop.entities.crops.crop_params import crop_params
from pyfao56.tools.tables import FAO56Tables

from service.agronomy.crops import crop, crops
from service.agronomy.tables import Found

FAO_ROWS = {
    "maize-grain": ("maize grain", "nigeria humid"),
    "maize-green": ("maize sweet", "philippines"),
    "sorghum": ("sorghum", "usa pakistan mediterranean"),
    "pearl-millet": ("millet", "pakistan"),
    "rice-transplanted": ("rice", "tropics mediterranean"),
    "tomato": ("tomato", "arid region"),
    "onion": ("onion dry", "mediterranean"),
    "spinach": ("spinach", "mediterranean"),
    "pepper": ("sweet peppers bell", "europe mediterranean"),
    "eggplant": ("eggplant", "arid region"),
    "pumpkin": ("pumpkin winter squash", "mediterranean"),
    "zucchini": ("squash zucchini", "mediterranean europe"),
    "cassava": ("cassava year 1", "tropical regions"),
    "potato": ("potato", "semiarid climate"),
    "sweet-potato": ("sweet potato", "tropical regions"),
    "sunflower": ("sunflower", "mediterranean california"),
    "dry-bean": ("beans dry", "continental climates"),
    "cowpea": ("green gram cowpeas", "mediterranean"),
    "groundnut": ("groundnut", "west africa"),
    "banana": ("banana first year", "mediterranean"),
}
AQUACROP_NAMES = {
    "maize-grain": "Maize",
    "maize-green": "Maize",
    "sorghum": "Sorghum",
    "rice-transplanted": "PaddyRice",
    "tomato": "Tomato",
    "cassava": "Cassava",
    "potato": "Potato",
    "sunflower": "Sunflower",
    "dry-bean": "DryBean",
}
ECOCROP_DAYS = {
    "maize-grain": (65, 365),
    "cabbage": (60, 200),
    "kale": (60, 85),
    "amaranth": (30, 60),
    "okra": (50, 180),
    "coffee": (210, 330),
}


@pytest.mark.parametrize("crop_id", FAO_ROWS)
def test_season_lengths_are_those_of_the_table(crop_id: str) -> None:
    """FAO-56, Table 11, as in pyfao56 1.4: its printed totals, which two rows do not sum to."""
    name, region = FAO_ROWS[crop_id]
    table = FAO56Tables().table11
    totals = table.loc[(table["Crop"] == name) & (table["Region"] == region), "Total"]

    assert str(crop(crop_id).season_days) in totals.to_list()


def test_every_season_that_names_a_package_is_checked() -> None:
    named = {
        crop_id for crop_id, row in crops().items() if row.origins["season"].found is Found.PACKAGE
    }

    assert named == set(FAO_ROWS)


@pytest.mark.parametrize("crop_id", AQUACROP_NAMES)
def test_emergence_is_that_of_the_crop_model(crop_id: str) -> None:
    """Crop parameter EmergenceCD, days to emergence or recovery, of aquacrop 3.1."""
    days = crop_params[AQUACROP_NAMES[crop_id]]["EmergenceCD"]

    assert crop(crop_id).emergence_days == int(days)


def test_every_emergence_that_names_a_package_is_checked() -> None:
    named = {
        crop_id
        for crop_id, row in crops().items()
        if row.origins["emergence"].found is Found.PACKAGE
    }

    assert named == set(AQUACROP_NAMES)


@pytest.mark.parametrize("crop_id", ECOCROP_DAYS)
def test_other_seasons_lie_within_known_cycles(crop_id: str) -> None:
    """FAO EcoCrop data base, columns GMIN and GMAX, read from a public copy."""
    shortest, longest = ECOCROP_DAYS[crop_id]

    assert shortest <= crop(crop_id).season_days <= longest


def test_cabbage_lies_between_two_rows_for_its_family() -> None:
    """FAO-56, Table 11, crucifers, as in pyfao56 1.4: 80 and 95 days in two seasons."""
    table = FAO56Tables().table11
    totals = {int(total) for total in table.loc[table["Crop"] == "crucifers", "Total"]}

    assert {80, 95} <= totals
    assert 80 <= crop("cabbage").season_days <= 95
