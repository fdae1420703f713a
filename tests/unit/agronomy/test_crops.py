"""The crop table and its loader."""

from textwrap import dedent

import pytest

from service.agronomy.crops import UnknownCropError, crop, crops, load_crops
from service.agronomy.tables import Found, Origin, TableError

ORIGIN = 'source = "a seed packet", found = "read"'
OKRA = dedent(
    f"""
    [okra]
    season = {{ season_days = 100, {ORIGIN} }}
    emergence = {{ emergence_days = 7, {ORIGIN} }}
    first_harvest = {{ first_harvest_days = 55, {ORIGIN} }}
    spacing = {{ row_cm = 60, plant_cm = 50, {ORIGIN} }}
    [okra.nature]
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


def test_every_crop_of_the_list_is_there() -> None:
    listed = """
        maize-grain maize-green sorghum pearl-millet rice-transplanted tomato cabbage kale onion
        amaranth spinach pepper eggplant okra pumpkin zucchini cassava potato sweet-potato
        sunflower dry-bean cowpea groundnut banana coffee
    """

    assert set(crops()) == set(listed.split())


def test_a_crop_is_found_by_its_id() -> None:
    assert crop("maize-grain").season_days == 20 + 35 + 40 + 30


def test_an_unknown_crop_is_told_in_a_sentence() -> None:
    with pytest.raises(UnknownCropError) as refused:
        crop("maise")

    assert refused.value.sentence == "There is no crop called 'maise'; choose one from the list."
    assert (refused.value.code, refused.value.crop_id) == ("unknown-crop", "maise")


def test_a_row_is_read_whole() -> None:
    okra = load_crops(OKRA)["okra"]

    assert (okra.season_days, okra.emergence_days, okra.first_harvest_days) == (100, 7, 55)
    assert okra.picked_repeatedly
    assert okra.m2_per_plant == pytest.approx(0.3)
    assert okra.origins["spacing"] == Origin(source="a seed packet", found=Found.READ)


def test_a_crop_harvested_once_is_harvested_at_the_seasons_end() -> None:
    once = "\n".join(line for line in OKRA.splitlines() if not line.startswith("first_harvest"))

    okra = load_crops(once)["okra"]

    assert (okra.first_harvest_days, okra.picked_repeatedly) == (100, False)
    assert okra.origins["first_harvest"] == okra.origins["season"]


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param(
            "emergence =", "germination =", "okra: take out germination.", id="unknown group"
        ),
        pytest.param(
            f"emergence = {{ emergence_days = 7, {ORIGIN} }}",
            "",
            "okra: add emergence.",
            id="missing group",
        ),
        pytest.param("legume = false", "", "okra.nature: add legume.", id="missing key"),
        pytest.param(
            "first_harvest_days = 55",
            "first_harvest_days = 101",
            "okra: the first harvest must fall within the season.",
            id="harvest after the season",
        ),
        pytest.param(
            "row_cm = 60",
            "row_cm = 0",
            "okra: plants need a distance of more than 0 cm.",
            id="no distance",
        ),
    ],
)
def test_a_wrong_row_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_crops(OKRA.replace(old, new))

    assert refused.value.sentence == f"crops.toml, {sentence}"


@pytest.mark.parametrize("crop_id", crops())
def test_every_crop_names_a_source_for_each_group(crop_id: str) -> None:
    origins = crop(crop_id).origins

    assert set(origins) == {"season", "emergence", "first_harvest", "spacing", "nature"}
    assert all(len(origin.source) > 4 for origin in origins.values())
