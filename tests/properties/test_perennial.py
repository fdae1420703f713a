"""Laws of a perennial's year, over made-up rains and pickings."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.calendar import add_days
from service.agronomy.perennial import Rain, perennial_days, perennial_shares

FIRST_ON = date(2027, 3, 15)
RAINS = st.lists(
    st.builds(
        lambda start, lasts: Rain(
            first_on=add_days(FIRST_ON, start), last_on=add_days(FIRST_ON, start + lasts)
        ),
        st.integers(0, 400),
        st.integers(0, 120),
    ),
    max_size=4,
)


@given(
    rains=RAINS,
    picks=st.lists(st.integers(0, 550).map(lambda days: add_days(FIRST_ON, days)), max_size=4),
    litres=st.floats(0, 5_000),
)
def test_a_perennials_doses_fall_in_rains_and_a_month_before_pickings(
    rains: list[Rain], picks: list[date], litres: float
) -> None:
    days = perennial_days(rains, picks)
    shares = perennial_shares(litres, days)

    assert all(any(rain.first_on <= day <= rain.last_on for rain in rains) for day in days)
    assert not any(day <= pick < add_days(day, 30) for day in days for pick in picks)
    assert sorted(set(days)) == list(days)
    total = sum(dose.litres for dose in shares.doses)
    assert total + shares.shortfall_litres == pytest.approx(litres)
