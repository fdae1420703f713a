"""How a season's litres are shared."""

import pytest

from service.agronomy.dosing import dose_cap, floor_to_step
from service.agronomy.shares import share_out


def test_doses_share_alike() -> None:
    shares = share_out(140, numbers=[1, 2, 3, 4], told={}, cap=dose_cap(140), rounded=float)

    assert list(shares.litres.values()) == pytest.approx([35, 35, 35, 35])
    assert shares.shortfall_litres == pytest.approx(0)
    assert not shares.too_few


def test_what_does_not_fit_under_the_cap_is_a_shortfall() -> None:
    shares = share_out(140, numbers=[1, 2], told={}, cap=dose_cap(140), rounded=float)

    assert shares.litres == {1: 40, 2: 40}
    assert (shares.shortfall_litres, shares.too_few) == (60, True)


def test_told_litres_stay_and_the_rest_share_what_is_left() -> None:
    shares = share_out(
        140, numbers=[1, 2, 3, 4, 5], told={1: 20, 2: 20}, cap=dose_cap(140), rounded=float
    )

    assert shares.litres == pytest.approx(
        {1: 20, 2: 20, 3: 33.333, 4: 33.333, 5: 33.333}, abs=0.001
    )


def test_told_litres_of_a_dose_outside_the_plan_are_free_again() -> None:
    shares = share_out(
        140, numbers=[3, 4, 5, 6], told={1: 20, 3: 35}, cap=dose_cap(140), rounded=float
    )

    assert shares.litres == {3: 35, 4: 35, 5: 35, 6: 35}


def test_more_told_than_the_target_leaves_nothing_to_share() -> None:
    shares = share_out(50, numbers=[1, 2], told={1: 60}, cap=dose_cap(50), rounded=float)

    assert shares.litres == {1: 60, 2: 0}
    assert (shares.shortfall_litres, shares.too_few) == (0, False)


@pytest.mark.parametrize(
    ("season_litres", "doses", "expected"),
    [
        pytest.param(75, 7, [10.5] * 4 + [11] * 3, id="maize, 50 square metres"),
        pytest.param(18, 5, [3.5] * 4 + [4.0], id="kale, 12 square metres"),
        pytest.param(13.5, 6, [2.0] * 3 + [2.5] * 3, id="cabbage, 9 square metres"),
        pytest.param(150, 7, [21.0] + [21.5] * 6, id="sweet potato, 100 square metres"),
        pytest.param(6, 7, [0.75] * 4 + [1.0] * 3, id="tomato, 4 square metres"),
        pytest.param(9, 7, [1.25] * 6 + [1.5], id="onion, 6 square metres"),
    ],
)
def test_what_rounding_takes_off_goes_to_later_doses(
    season_litres: float, doses: int, expected: list[float]
) -> None:
    """Rows worked out apart from this code, at 1.5 L a square metre and season."""
    shares = share_out(
        season_litres,
        numbers=range(1, doses + 1),
        told={},
        cap=dose_cap(season_litres),
        rounded=floor_to_step,
    )

    assert list(shares.litres.values()) == expected
    assert not shares.too_few
