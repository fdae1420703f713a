"""Nothing is left in a can that a dose lacks, and nothing is taken from a dose before it.

The most that some doses can have together is the least cut between cans and doses (Ford and
Fulkerson 1956): over every choice of them, what the others want and what the cans hold that are
open to these. A dose must get what it adds to the most of those before it.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from math import floor

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.agronomy.allotment import Ask, Stock, allot
from service.agronomy.containers import Draw
from service.agronomy.regimes import Regime

TODAY = date(2027, 6, 1)
# The rests are 14, 30 and 183 days; each can is open to one kind of eaters more than the last.
SEALED = (date(2027, 5, 20), date(2027, 5, 18), date(2027, 5, 2), date(2026, 11, 30))
OPEN_TO: dict[Regime, frozenset[date]] = {
    Regime.OWN_HOUSEHOLD: frozenset(SEALED[1:]),
    Regime.GENERAL: frozenset(SEALED[2:]),
    Regime.SOLD_ANY: frozenset(SEALED[3:]),
}
MAIZE = Ask(
    dose=(1, 2),
    due_on=TODAY,
    on=TODAY,
    planted_on=date(2027, 4, 1),
    litres=8,
    regime=Regime.GENERAL,
)
MAIZE_IN_JUNE = replace(MAIZE, dose=(1, 3), due_on=date(2027, 6, 3), on=date(2027, 6, 3))
SOLD_KALE = replace(MAIZE, dose=(3, 1), due_on=date(2027, 6, 2), regime=Regime.SOLD_ANY)

cans = st.lists(st.tuples(st.sampled_from(SEALED), st.integers(0, 6)), max_size=5)
wants = st.lists(st.tuples(st.sampled_from(sorted(OPEN_TO)), st.integers(1, 6)), max_size=6)


def can(number: int, litres: float, sealed_on: date = SEALED[2]) -> Stock:
    return Stock(can=number, sealed_on=sealed_on, litres=litres)


def most(stocks: Sequence[Stock], asks: Sequence[Ask]) -> float:
    found = []
    for choice in range(2 ** len(asks)):
        chosen = [ask for place, ask in enumerate(asks) if choice >> place & 1]
        reached = frozenset[date]().union(*(OPEN_TO[ask.regime] for ask in chosen))
        others = sum(ask.litres for ask in asks if ask not in chosen)
        found.append(others + sum(stock.litres for stock in stocks if stock.sealed_on in reached))
    return min(found)


@given(cans, wants)
@example([(SEALED[3], 6), (SEALED[2], 6)], [(Regime.GENERAL, 6), (Regime.SOLD_ANY, 6)])
@example(
    [(SEALED[3], 3), (SEALED[2], 3), (SEALED[1], 3)],
    [(Regime.OWN_HOUSEHOLD, 3), (Regime.GENERAL, 3), (Regime.SOLD_ANY, 3)],
)
@example(
    [(SEALED[3], 6), (SEALED[1], 6)],
    [(Regime.GENERAL, 6), (Regime.OWN_HOUSEHOLD, 3), (Regime.SOLD_ANY, 3)],
)
def test_each_dose_gets_what_it_adds_to_the_most_of_those_before_it(
    held: list[tuple[date, int]], wanted: list[tuple[Regime, int]]
) -> None:
    stocks = [can(number, litres, sealed_on) for number, (sealed_on, litres) in enumerate(held)]
    asks = [
        replace(MAIZE, dose=(1, number), litres=litres, regime=regime)
        for number, (regime, litres) in enumerate(wanted)
    ]

    gets = allot(stocks, asks, store_c=25)

    before = 0.0
    for place, ask in enumerate(asks):
        together = most(stocks, asks[: place + 1])
        assert gets[ask.dose].litres == pytest.approx(together - before)
        assert gets[ask.dose].litres + gets[ask.dose].short_litres == pytest.approx(ask.litres)
        before = together
    for stock in stocks:
        drawn = [draw for got in gets.values() for draw in got.draws if draw.can == stock.can]
        assert sum(draw.litres for draw in drawn) <= stock.litres + 1e-6


def test_a_dose_still_open_leaves_the_old_can_to_one_whose_days_have_passed() -> None:
    """Both doses wait since May; the first is poured in June, when can 1 is ready too.

    7 L in both cans, 6 L of them for the first dose: 1 L of the old can can be left to the second.
    """
    stocks = [can(1, 5, SEALED[2]), can(2, 2, SEALED[3])]
    still_open = replace(MAIZE, dose=(1, 1), due_on=date(2027, 5, 27), litres=6)
    passed = replace(MAIZE, dose=(1, 2), due_on=date(2027, 5, 28), on=date(2027, 5, 30), litres=6)

    gets = allot(stocks, [still_open, passed, MAIZE_IN_JUNE], store_c=None)

    assert (gets[1, 1].litres, gets[1, 2].litres, gets[1, 3].litres) == (6, 1, 0)


def test_what_rounding_takes_off_goes_back_into_the_can_that_was_drawn_last() -> None:
    found = allot([can(1, 3.25), can(2, 2.5)], [MAIZE], store_c=None, rounded=floor)

    assert found[MAIZE.dose].draws == (Draw(can=1, litres=3.25), Draw(can=2, litres=1.75))


def test_what_rounding_takes_off_may_empty_the_last_hand_and_reach_the_one_before() -> None:
    found = allot([can(1, 3.5), can(2, 0.25)], [MAIZE], store_c=None, rounded=floor)

    assert found[MAIZE.dose].draws == (Draw(can=1, litres=3),)


def test_a_dose_that_finds_no_room_is_rounded_down_from_what_it_has() -> None:
    """Maize has 1.5 L of its own; nothing that sold kale draws can serve it better elsewhere."""
    stocks = [can(1, 2.5, SEALED[3])]
    first = replace(SOLD_KALE, due_on=date(2027, 5, 31), litres=1)

    found = allot(stocks, [first, MAIZE], store_c=25, rounded=floor)

    assert found[MAIZE.dose].draws == (Draw(can=1, litres=1),)
    assert found[MAIZE.dose].short_litres == 7


def test_a_dose_that_was_given_room_is_short_of_nothing() -> None:
    stocks = [can(1, 8, SEALED[3]), can(2, 8)]

    found = allot(stocks, [MAIZE, SOLD_KALE], store_c=25, rounded=floor)

    assert [(got.litres, got.short_litres) for got in found.values()] == [(8, 0), (8, 0)]
