"""A bed so small that the season's litres are fewer than its doses."""

import pytest

from service.agronomy.shares import share_out


def test_less_than_a_litre_is_shared_like_any_other_amount() -> None:
    """0.7 L over seven doses."""
    shares = share_out(0.7, numbers=range(1, 8), told={}, cap=0.2, rounded=float)

    assert [round(litres, 6) for litres in shares.litres.values()] == [0.1] * 7
    assert shares.shortfall_litres == pytest.approx(0)


def test_what_is_told_beyond_the_season_leaves_nothing_for_the_others() -> None:
    shares = share_out(1, numbers=[1, 2], told={1: 1.5}, cap=2, rounded=float)

    assert (shares.litres, shares.shortfall_litres) == ({1: 1.5, 2: 0}, 0)
    assert not shares.too_few


def test_all_that_the_cap_can_hold_is_no_shortfall() -> None:
    """Two doses of at most 5 L hold 10 L and not 10.01 L."""
    whole = share_out(10, numbers=[1, 2], told={}, cap=5, rounded=float)
    over = share_out(10.01, numbers=[1, 2], told={}, cap=5, rounded=float)

    assert (whole.too_few, over.too_few) == (False, True)
    assert over.shortfall_litres == pytest.approx(0.01)
