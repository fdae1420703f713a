"""Cups and millilitres where one plant, or one cup for three plants, decides."""

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Pace, ml_per_plant, pace


@pytest.mark.parametrize(
    ("ml_a_plant", "expected"),
    [
        pytest.param(84, Pace(cups=1, plants=3), id="a third of a cup is 83.3 ml"),
        pytest.param(83, Pace(cups=3, plants=10), id="three tenths are 75 ml"),
        pytest.param(167, Pace(cups=2, plants=3), id="two thirds are 166.7 ml"),
        pytest.param(334, Pace(cups=4, plants=3), id="four thirds are 333.3 ml"),
    ],
)
def test_a_cup_of_a_quarter_litre_is_shared_by_three_plants(
    ml_a_plant: float, expected: Pace
) -> None:
    assert pace(mix_ml=ml_a_plant * 30, plants=30, cup_ml=250) == expected


def test_one_plant_alone_has_a_pace() -> None:
    assert pace(mix_ml=250, plants=1, cup_ml=250) == Pace(cups=1, plants=1)


def test_a_cup_of_a_millilitre_is_a_cup() -> None:
    assert pace(mix_ml=20, plants=10, cup_ml=1) == Pace(cups=2, plants=1)


def test_a_litre_is_a_thousand_millilitres_to_the_last() -> None:
    """Maize at 75 by 25 cm has four plants on 0.75 m2: a litre is 250 ml for each."""
    share = ml_per_plant(crop("maize-grain"), litres=1, area_m2=0.75)

    assert share == pytest.approx(250, abs=0.01)
