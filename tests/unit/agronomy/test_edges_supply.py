"""How far ahead a can is forecast: 730 days, a project choice without a source."""

from datetime import date

import pytest

from service.agronomy.containers import CanFacts, CanStanding
from service.agronomy.supply import forecast_stocks


@pytest.mark.parametrize(
    ("volume_litres", "full_on"),
    [
        pytest.param(730, [date(2029, 3, 14)], id="full on the last day"),
        pytest.param(731, [], id="a day later"),
    ],
)
def test_a_can_is_forecast_up_to_the_last_of_two_years_days(
    volume_litres: float, full_on: list[date]
) -> None:
    """A litre a day; 730 days after 15 March 2027, over a leap day, is 14 March 2029."""
    can = CanStanding(
        facts=CanFacts(can=1, volume_litres=volume_litres, longer_rest=False, events=()),
        litres=0,
        opened_on=None,
        sealed_on=None,
        leaked_on=None,
    )

    stocks = forecast_stocks([can], litres_a_day=1, today=date(2027, 3, 15))

    assert [stock.sealed_on for stock in stocks] == full_on
