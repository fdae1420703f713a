"""Amounts, and what a grower can measure of them."""

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import (
    Pace,
    Season,
    dose_cap,
    floor_to_step,
    is_over,
    ml_per_plant,
    pace,
    plants_on,
    usual_water_ratio,
)


@pytest.mark.parametrize(
    ("litres", "expected"),
    [
        pytest.param(10.71, 10.5, id="half litres from 2 up"),
        pytest.param(2.0, 2.0, id="2 stays"),
        pytest.param(1.99, 1.75, id="quarters below 2"),
        pytest.param(0.5, 0.5, id="a half stays"),
        pytest.param(0.49, 0.4, id="tenths below a half"),
        pytest.param(0.1 + 0.2, 0.3, id="noise above"),
        pytest.param(0.3 - 1e-16, 0.3, id="noise below"),
        pytest.param(0.09, 0.0, id="less than can be measured"),
        pytest.param(0.0, 0.0, id="nothing"),
    ],
)
def test_amounts_are_rounded_down_to_a_step(litres: float, expected: float) -> None:
    """Common practice, no source: steps of 0.5, 0.25 and 0.1 litres."""
    assert floor_to_step(litres) == expected


@pytest.mark.parametrize(
    ("ml_a_plant", "cup_ml", "expected"),
    [
        pytest.param(28.0, 250, Pace(cups=1, plants=10), id="1 cup, 10 plants"),
        pytest.param(112.0, 250, Pace(cups=2, plants=5), id="2 cups, 5 plants"),
        pytest.param(291.7, 250, Pace(cups=1, plants=1), id="1 cup, 1 plant"),
        pytest.param(222.2, 250, Pace(cups=4, plants=5), id="4 cups, 5 plants"),
        pytest.param(63.6, 250, Pace(cups=1, plants=4), id="1 cup, 4 plants"),
        pytest.param(375.0, 250, Pace(cups=3, plants=2), id="3 cups, 2 plants"),
        pytest.param(125.0, 250, Pace(cups=1, plants=2), id="the fewest plants of equal paces"),
        pytest.param(5000.0, 250, Pace(cups=4, plants=1), id="never more than 4 cups"),
        pytest.param(8.3, 200, None, id="a cup is too big"),
    ],
)
def test_the_pace_is_the_largest_not_above_the_true_share(
    ml_a_plant: float, cup_ml: float, expected: Pace | None
) -> None:
    """Rows worked out apart from this code, at 1.5 L a square metre and season."""
    assert pace(mix_ml=ml_a_plant * 48, plants=48, cup_ml=cup_ml) == expected


@pytest.mark.parametrize(("plants", "cup_ml"), [(0, 250), (48, 0), (float("nan"), 250)])
def test_a_pace_needs_plants_and_a_cup(plants: float, cup_ml: float) -> None:
    with pytest.raises(ValueError, match="plants and a cup"):
        pace(mix_ml=1000, plants=plants, cup_ml=cup_ml)


def test_a_plants_share_follows_from_its_spacing() -> None:
    """Maize at 75 by 25 cm has 53,333 plants a hectare; 1.5 L a square metre is 281 ml a plant."""
    maize = crop("maize-grain")

    assert plants_on(maize, 10_000) == pytest.approx(53_333, abs=1)
    assert ml_per_plant(maize, litres=150, area_m2=100) == pytest.approx(281, abs=0.5)


def test_a_planting_s_own_spacing_goes_before_the_crop_s() -> None:
    """100 m2 at 80 by 50 cm, and at 80 cm by maize's usual 25 cm."""
    maize = crop("maize-grain")

    assert plants_on(maize, 100, row_cm=80, plant_cm=50) == pytest.approx(250)
    assert plants_on(maize, 100, row_cm=80) == pytest.approx(500)


def test_one_dose_holds_at_most_twice_its_equal_share() -> None:
    """Project choice, no source."""
    assert dose_cap(70) == pytest.approx(20)


def test_noise_is_not_an_excess() -> None:
    assert not is_over(0.1 + 0.2, 0.3)
    assert is_over(0.3001, 0.3)


def test_water_is_added_by_rule_only_in_the_dry_season() -> None:
    """Common practice, no source: two parts of water in the dry season, none in the rains."""
    assert usual_water_ratio(Season.DRY) == 2
    assert usual_water_ratio(Season.RAINS) == 0
