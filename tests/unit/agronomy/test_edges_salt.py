"""Salt where a soil has none or next to none."""

import pytest

from service.agronomy.salt import salt_rows, yield_share


@pytest.mark.parametrize("ece", [0, 0.5])
def test_a_soil_with_next_to_no_salt_leaves_the_whole_yield(ece: float) -> None:
    assert yield_share("tomato", ece) == 1


def test_a_yield_that_is_all_lost_is_never_less_than_nothing() -> None:
    """Groundnut loses 29 percent with each dS/m above 3.2: the last of it within 3.5 more."""
    assert yield_share("groundnut", 6.6) == pytest.approx(0.014)
    assert yield_share("groundnut", 6.65) == 0
    assert yield_share("groundnut", 50) == 0


def test_a_crop_rated_without_figures_has_none() -> None:
    okra = salt_rows()["okra"]

    assert (okra.threshold_ds_per_m, okra.slope_percent) == (None, None)
