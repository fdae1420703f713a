"""How much of a yield a salty soil leaves."""

import pytest

from service.agronomy.salt import SaltRating, load_salt_rows, salt_rows, yield_share
from service.agronomy.tables import TableError, table_text


@pytest.mark.parametrize(
    ("crop_id", "ece", "share"),
    [
        pytest.param("tomato", 2.5, 1.0, id="at the threshold"),
        pytest.param("tomato", 4.5, 0.802, id="two above: 100 - 2 x 9.9"),
        pytest.param("onion", 3.7, 0.6, id="2.5 above: 100 - 2.5 x 16"),
        pytest.param("dry-bean", 4.0, 0.43, id="3 above: 100 - 3 x 19"),
        pytest.param("cabbage", 1.0, 1.0, id="below the threshold"),
        pytest.param("groundnut", 10.0, 0.0, id="nothing is left"),
    ],
)
def test_a_yield_falls_in_a_line_above_the_threshold(
    crop_id: str, ece: float, share: float
) -> None:
    """Maas 1990 via USDA-ARS and, for groundnut, from memory; FAO: Yr = 100 - b (ECe - a)."""
    assert yield_share(crop_id, ece) == pytest.approx(share)


@pytest.mark.parametrize("crop_id", ["okra", "kale", "amaranth", "no-such-crop"])
def test_a_crop_that_nobody_measured_has_no_figure(crop_id: str) -> None:
    assert yield_share(crop_id, 4.0) is None


def test_a_crop_rated_without_figures_keeps_its_rating() -> None:
    assert salt_rows()["okra"].rating is SaltRating.SENSITIVE


@pytest.mark.parametrize("ece", [-0.1, float("nan")])
def test_a_soil_that_cannot_be_is_refused(ece: float) -> None:
    with pytest.raises(ValueError, match="from 0 up"):
        yield_share("tomato", ece)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param('rating = "S"', 'rating = "X"', "rating must be one of S, MS, MT, T.", id="X"),
        pytest.param("slope_percent = 9.9", "", "tomato: add slope_percent.", id="half a row"),
    ],
)
def test_a_wrong_table_of_salt_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_salt_rows(table_text("salt.toml").replace(old, new))

    assert refused.value.sentence.endswith(sentence)
