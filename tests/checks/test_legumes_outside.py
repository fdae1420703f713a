"""Which crops bind their own nitrogen, against a published crop model."""

import pytest

from service.agronomy.crops import crop, crops

# WOFOST crop parameters, as in the package pcse 6.0 and its WOFOST_crop_parameters: NFIX_FR, the
# part of a crop's nitrogen that it binds from the air.
NFIX_FR = {
    "maize-grain": 0.0,
    "maize-green": 0.0,
    "sorghum": 0.0,
    "pearl-millet": 0.0,
    "rice-transplanted": 0.0,
    "cassava": 0.0,
    "potato": 0.0,
    "sweet-potato": 0.0,
    "sunflower": 0.0,
    "cowpea": 0.8,
    "groundnut": 0.8,
}
NOT_IN_THE_MODEL = {"dry-bean"}  # its relatives are: mung bean, pigeon pea, chickpea, all at 0.8


@pytest.mark.parametrize("crop_id", NFIX_FR)
def test_a_crop_is_a_legume_where_the_model_lets_it_bind_nitrogen(crop_id: str) -> None:
    """WOFOST crop parameters, NFIX_FR: 0.8 for legumes, 0.0 for others."""
    assert crop(crop_id).legume is (NFIX_FR[crop_id] > 0)


def test_every_legume_is_checked_or_named() -> None:
    legumes = {crop_id for crop_id, row in crops().items() if row.legume}

    assert legumes == {name for name, part in NFIX_FR.items() if part > 0} | NOT_IN_THE_MODEL
