"""What a household collects a day, and when its cans will be full."""

from datetime import date

import pytest

from service.agronomy.allotment import Stock
from service.agronomy.containers import CanFacts, CanStanding
from service.agronomy.supply import (
    Band,
    daily_litres,
    days_to_fill,
    forecast_stocks,
    load_supply_rules,
    supply_rules,
)
from service.agronomy.tables import TableError, table_text

TODAY = date(2027, 3, 15)


def a_can(
    number: int,
    *,
    opened_on: date | None = None,
    sealed_on: date | None = None,
    leaked_on: date | None = None,
    longer_rest: bool = False,
) -> CanStanding:
    """Return a can of 20 litres."""
    return CanStanding(
        facts=CanFacts(can=number, volume_litres=20, longer_rest=longer_rest, events=()),
        litres=20 if sealed_on else 0,
        opened_on=opened_on,
        sealed_on=sealed_on,
        leaked_on=leaked_on,
    )


def full_days(stocks: tuple[Stock, ...]) -> list[tuple[int, date]]:
    return [(stock.can, stock.sealed_on) for stock in stocks]


def test_two_adults_and_a_child_collect_two_and_a_half_litres() -> None:
    """WHO 2006 as told by SSWM: 0.8 to 1.5 L an adult, half for a child; 1.0 is our choice."""
    band = daily_litres(adults=2, children=1, share=1.0)

    assert (band.low, band.usual, band.high) == (2.0, 2.5, 3.75)


def test_what_is_not_collected_does_not_count() -> None:
    assert daily_litres(adults=2, children=0, share=0.4).usual == pytest.approx(0.8)
    assert daily_litres(adults=2, children=3, share=0) == Band(low=0, usual=0, high=0)
    assert daily_litres(adults=0, children=0, share=1) == Band(low=0, usual=0, high=0)


@pytest.mark.parametrize(
    ("adults", "children", "share"),
    [(-1, 0, 1.0), (1, -1, 1.0), (1, 0, -0.1), (1, 0, 1.1), (1, 0, float("nan"))],
)
def test_people_and_shares_that_cannot_be_are_refused(
    adults: int, children: int, share: float
) -> None:
    with pytest.raises(ValueError, match="counted from 0 up"):
        daily_litres(adults=adults, children=children, share=share)


@pytest.mark.parametrize(
    ("volume", "rate", "days"),
    [
        pytest.param(150, 2.5, 60, id="even"),
        pytest.param(20, 3, 7, id="counted up"),
        pytest.param(0.3, 0.1, 3, id="noise is no day"),
        pytest.param(0, 2.5, 0, id="nothing to fill"),
        pytest.param(0, 0, 0, id="nothing to fill, nothing collected"),
        pytest.param(20, 0, None, id="nothing collected"),
        pytest.param(20, 1e-300, None, id="as good as nothing collected"),
    ],
)
def test_days_to_fill_are_counted_up(volume: float, rate: float, days: int | None) -> None:
    assert days_to_fill(volume, rate) == days


def test_empty_cans_fill_one_after_another_from_today() -> None:
    """20 L at 2.5 L a day: 8 days each."""
    stocks = forecast_stocks([a_can(2), a_can(1)], litres_a_day=2.5, today=TODAY)

    assert full_days(stocks) == [(2, date(2027, 3, 23)), (1, date(2027, 3, 31))]
    assert all(stock.forecast and stock.litres == 20 for stock in stocks)


def test_part_of_a_day_is_carried_to_the_next_can() -> None:
    """20 L at 3 L a day: 60 L are there on day 20, though each can takes 6.7 days."""
    stocks = forecast_stocks([a_can(1), a_can(2), a_can(3)], litres_a_day=3, today=TODAY)

    assert full_days(stocks) == [
        (1, date(2027, 3, 22)),
        (2, date(2027, 3, 29)),
        (3, date(2027, 4, 4)),
    ]


def test_the_can_being_filled_comes_first_and_holds_what_came_since_it_was_opened() -> None:
    """Opened 5 days ago: 12.5 L are in, 7.5 L are 3 days."""
    cans = [a_can(1), a_can(2, opened_on=date(2027, 3, 10))]

    assert full_days(forecast_stocks(cans, litres_a_day=2.5, today=TODAY)) == [
        (2, date(2027, 3, 18)),
        (1, date(2027, 3, 26)),
    ]


def test_a_can_that_must_be_full_counts_as_sealed_today_and_not_before() -> None:
    """Opened 40 days ago, so full long ago; what came after it went nowhere that is known."""
    cans = [a_can(1, opened_on=date(2027, 2, 3)), a_can(2)]

    assert full_days(forecast_stocks(cans, litres_a_day=2.5, today=TODAY)) == [
        (1, TODAY),
        (2, date(2027, 3, 23)),
    ]


def test_two_cans_opened_side_by_side_hold_no_more_than_was_collected() -> None:
    """10 days at 2.5 L are 25 L: 20 in the first, 5 in the second, whose 15 more take 6 days."""
    cans = [a_can(7, opened_on=date(2027, 3, 6)), a_can(4, opened_on=date(2027, 3, 5))]

    assert full_days(forecast_stocks(cans, litres_a_day=2.5, today=TODAY)) == [
        (4, TODAY),
        (7, date(2027, 3, 21)),
    ]


def test_a_second_can_holds_only_what_came_since_it_was_opened() -> None:
    """The first was full after 8 days; the second, opened 2 days ago, holds 5 L."""
    cans = [a_can(1, opened_on=date(2027, 2, 13)), a_can(2, opened_on=date(2027, 3, 13))]

    assert full_days(forecast_stocks(cans, litres_a_day=2.5, today=TODAY)) == [
        (1, TODAY),
        (2, date(2027, 3, 21)),
    ]


def test_sealed_and_leaking_cans_are_left_out() -> None:
    cans = [
        a_can(1, sealed_on=date(2027, 3, 1)),
        a_can(2, leaked_on=date(2027, 3, 1)),
        a_can(3),
    ]

    assert full_days(forecast_stocks(cans, litres_a_day=2.5, today=TODAY)) == [
        (3, date(2027, 3, 23))
    ]


def test_the_longer_rest_of_a_can_stays_with_it() -> None:
    cans = [a_can(1, longer_rest=True), a_can(2)]

    stocks = forecast_stocks(cans, litres_a_day=2.5, today=TODAY)

    assert [stock.longer_rest for stock in stocks] == [True, False]


@pytest.mark.parametrize("rate", [0.0, 1e-300])
def test_who_collects_nothing_has_no_forecast(rate: float) -> None:
    assert forecast_stocks([a_can(1)], litres_a_day=rate, today=TODAY) == ()


def test_cans_that_fill_in_more_than_two_years_are_not_forecast() -> None:
    """Project choice, no source: 730 days. 20 L at 0.04 L a day are 500."""
    stocks = forecast_stocks([a_can(1), a_can(2)], litres_a_day=0.04, today=TODAY)

    assert full_days(stocks) == [(1, date(2028, 7, 27))]


def test_every_figure_of_supply_names_its_source() -> None:
    assert set(supply_rules().origins) == {"adult", "child", "horizon"}


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param("[child]", "[kid]", "missing or not known: child, kid.", id="table"),
        pytest.param("most_days = 730", "", "supply.toml, horizon: add most_days.", id="key"),
    ],
)
def test_a_wrong_table_of_supply_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_supply_rules(table_text("supply.toml").replace(old, new))

    assert refused.value.sentence.endswith(sentence)
