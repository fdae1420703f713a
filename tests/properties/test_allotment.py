"""Laws of the allotment, over made-up cans and doses."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from math import floor

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from service.agronomy.allotment import Allotment, Ask, Stock, allot
from service.agronomy.calendar import add_days
from service.agronomy.containers import DoseKey
from service.agronomy.regimes import Regime

TODAY = date(2027, 6, 1)
LITRE_NOISE = 1e-6
CAN_1, CAN_2 = (Stock(can=can, sealed_on=date(2027, 1, 1), litres=10) for can in (1, 2))
ONE_ASK = Ask(
    dose=(1, 1), due_on=TODAY, on=TODAY, planted_on=TODAY, litres=5, regime=Regime.GENERAL
)


@st.composite
def stocks_of_a_home(draw: st.DrawFn) -> list[Stock]:
    numbers = draw(st.lists(st.integers(1, 9), unique=True, max_size=5))
    return [draw(stock(number)) for number in numbers]


@st.composite
def stock(draw: st.DrawFn, number: int) -> Stock:
    forecast = draw(st.booleans())
    rested = draw(st.integers(-40, -1) if forecast else st.sampled_from([0, 14, 30, 90, 183, 250]))
    return Stock(
        can=number,
        sealed_on=add_days(TODAY, -rested),
        litres=draw(st.floats(0, 25)),
        longer_rest=draw(st.booleans()),
        forecast=forecast,
    )


@st.composite
def asks_of_a_home(draw: st.DrawFn) -> list[Ask]:
    plots = draw(
        st.lists(
            st.tuples(st.integers(-60, 0), st.sampled_from([Regime.GENERAL, *Regime])),
            min_size=1,
            max_size=4,
        )
    )
    asks = []
    places = st.integers(0, len(plots) - 1)
    for plot, number in draw(
        st.lists(st.tuples(places, st.integers(1, 7)), unique=True, max_size=8)
    ):
        planted_ago, regime = plots[plot]
        due_on = add_days(TODAY, draw(st.integers(-5, 60)))
        asks.append(
            Ask(
                dose=(plot, number),
                due_on=due_on,
                on=max(due_on, TODAY),
                planted_on=add_days(TODAY, planted_ago),
                litres=draw(st.floats(0.1, 15)),
                regime=regime,
            )
        )
    return asks


@st.composite
def home_told_twice(draw: st.DrawFn) -> tuple[list[Stock], list[Stock]]:
    """Return the same cans in two orders."""
    stocks = draw(stocks_of_a_home())
    return stocks, draw(st.permutations(stocks))


stores_c = st.sampled_from([None, 15.0, 20.0, 26.0, 26.0])
roundings = st.sampled_from([float, floor])


def litres_of(found: Mapping[DoseKey, Allotment]) -> dict[DoseKey, float]:
    return {dose: got.litres for dose, got in found.items()}


def drawn(found: Mapping[DoseKey, Allotment]) -> dict[tuple[DoseKey, int], float]:
    return {(dose, draw.can): draw.litres for dose, got in found.items() for draw in got.draws}


def left_in(stocks: Sequence[Stock], found: Mapping[DoseKey, Allotment]) -> dict[int, float]:
    left = {stock.can: stock.litres for stock in stocks}
    for (_, can), litres in drawn(found).items():
        left[can] -= litres
    return left


@given(stocks=stocks_of_a_home(), asks=asks_of_a_home(), store_c=stores_c, rounded=roundings)
def test_what_a_dose_gets_is_what_is_drawn_for_it_and_the_rest_is_short(
    stocks: list[Stock], asks: list[Ask], store_c: float | None, rounded: type[float]
) -> None:
    found = allot(stocks, asks, store_c=store_c, rounded=rounded)

    assert found.keys() == {ask.dose for ask in asks}
    for ask in asks:
        got = found[ask.dose]
        assert got.litres == pytest.approx(sum(draw.litres for draw in got.draws))
        assert got.litres + got.short_litres == pytest.approx(ask.litres)
        assert got.short_litres >= 0
        assert all(draw.litres > 0 for draw in got.draws)
        assert len({draw.can for draw in got.draws}) == len(got.draws)


@given(stocks=stocks_of_a_home(), asks=asks_of_a_home(), store_c=stores_c, rounded=roundings)
def test_no_can_is_overdrawn(
    stocks: list[Stock], asks: list[Ask], store_c: float | None, rounded: type[float]
) -> None:
    found = allot(stocks, asks, store_c=store_c, rounded=rounded)

    assert all(left >= -LITRE_NOISE for left in left_in(stocks, found).values())


@given(
    stocks=stocks_of_a_home(),
    asks=asks_of_a_home(),
    store_c=stores_c,
    place=st.integers(0, 4),
    more=st.floats(0, 25),
)
def test_a_fuller_can_never_serves_a_dose_less(
    stocks: list[Stock], asks: list[Ask], store_c: float | None, place: int, more: float
) -> None:
    assume(place < len(stocks))
    fuller = [*stocks]
    fuller[place] = replace(stocks[place], litres=stocks[place].litres + more)

    before = litres_of(allot(stocks, asks, store_c=store_c))
    after = litres_of(allot(fuller, asks, store_c=store_c))

    assert all(after[dose] >= litres - LITRE_NOISE for dose, litres in before.items())


@given(stocks=stocks_of_a_home(), asks=asks_of_a_home(), store_c=stores_c, another=stock(10))
def test_one_more_can_never_serves_a_dose_less(
    stocks: list[Stock], asks: list[Ask], store_c: float | None, another: Stock
) -> None:
    before = litres_of(allot(stocks, asks, store_c=store_c))
    after = litres_of(allot([*stocks, another], asks, store_c=store_c))

    assert all(after[dose] >= litres - LITRE_NOISE for dose, litres in before.items())


@given(stocks=stocks_of_a_home(), asks=asks_of_a_home(), store_c=stores_c, extra=asks_of_a_home())
def test_a_dose_takes_nothing_from_those_before_it(
    stocks: list[Stock], asks: list[Ask], store_c: float | None, extra: list[Ask]
) -> None:
    last_on = max((ask.due_on for ask in asks), default=TODAY)
    after_all = [
        replace(ask, dose=(ask.dose[0] + 10, ask.dose[1]), due_on=on, on=max(on, TODAY))
        for ask in extra
        for on in [add_days(last_on, ask.dose[1])]
    ]

    alone = litres_of(allot(stocks, asks, store_c=store_c))
    followed = litres_of(allot(stocks, [*asks, *after_all], store_c=store_c))

    assert {dose: followed[dose] for dose in alone} == pytest.approx(alone, abs=LITRE_NOISE)


@given(homes=home_told_twice(), asks=asks_of_a_home(), store_c=stores_c)
def test_the_order_of_cans_and_doses_changes_no_litres(
    homes: tuple[list[Stock], list[Stock]], asks: list[Ask], store_c: float | None
) -> None:
    found, again = (allot(stocks, asks, store_c=store_c) for stocks in homes)
    backwards = allot(homes[0], asks[::-1], store_c=store_c)

    assert list(again) == list(backwards) == list(found)
    assert litres_of(again) == pytest.approx(litres_of(found), abs=LITRE_NOISE)
    assert backwards == found


@given(homes=home_told_twice(), asks=asks_of_a_home(), store_c=stores_c)
@example(homes=([CAN_1, CAN_2], [CAN_2, CAN_1]), asks=[ONE_ASK], store_c=None)
def test_the_order_of_cans_does_not_choose_the_can(
    homes: tuple[list[Stock], list[Stock]], asks: list[Ask], store_c: float | None
) -> None:
    found, again = (drawn(allot(stocks, asks, store_c=store_c)) for stocks in homes)

    assert again == pytest.approx(found, abs=LITRE_NOISE)


@given(stocks=stocks_of_a_home(), asks=asks_of_a_home(), store_c=stores_c)
def test_rounding_gives_a_dose_all_it_wants_or_whole_litres(
    stocks: list[Stock], asks: list[Ask], store_c: float | None
) -> None:
    found = allot(stocks, asks, store_c=store_c, rounded=floor)

    assert all(
        got.short_litres == 0 or got.litres == pytest.approx(round(got.litres), abs=LITRE_NOISE)
        for got in found.values()
    )


@given(stocks=stocks_of_a_home(), asks=asks_of_a_home(), store_c=stores_c)
def test_rounding_gives_no_more_and_puts_the_rest_back(
    stocks: list[Stock], asks: list[Ask], store_c: float | None
) -> None:
    exact = allot(stocks, asks, store_c=store_c)
    rounded = allot(stocks, asks, store_c=store_c, rounded=floor)

    first_short = next((dose for dose, got in exact.items() if got.short_litres), None)
    until = list(exact).index(first_short) + 1 if first_short else len(exact)
    assert all(
        rounded[dose].litres <= exact[dose].litres + LITRE_NOISE for dose in list(exact)[:until]
    )
    assert sum(litres_of(rounded).values()) <= sum(litres_of(exact).values()) + LITRE_NOISE
    assert sum(left_in(stocks, rounded).values()) == pytest.approx(
        sum(stock.litres for stock in stocks) - sum(litres_of(rounded).values()), abs=LITRE_NOISE
    )
