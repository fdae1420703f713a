"""Who gets how much from which container."""

from dataclasses import replace
from datetime import date
from math import floor

import pytest

from service.agronomy.allotment import Allotment, Ask, Stock, allot, turn
from service.agronomy.containers import DoseKey, Draw
from service.agronomy.regimes import Regime

TODAY = date(2027, 6, 1)
HALF_A_YEAR_AGO = date(2026, 11, 30)  # 183 days before
MONTH_AGO = date(2027, 5, 2)  # 30 days before
FORTNIGHT_AGO = date(2027, 5, 18)  # 14 days before
WARM_C = 26.0

MAIZE = Ask(
    dose=(1, 2),
    due_on=TODAY,
    on=TODAY,
    planted_on=date(2027, 4, 1),
    litres=8,
    regime=Regime.GENERAL,
)
TOMATO = replace(MAIZE, dose=(2, 1), planted_on=date(2027, 5, 1))
SOLD_KALE = replace(MAIZE, dose=(3, 1), due_on=date(2027, 6, 2), regime=Regime.SOLD_ANY)


def can(number: int, litres: float, sealed_on: date = MONTH_AGO) -> Stock:
    return Stock(can=number, sealed_on=sealed_on, litres=litres)


def got(stocks: list[Stock], *asks: Ask, store_c: float | None = WARM_C) -> dict[DoseKey, float]:
    return {dose: got.litres for dose, got in allot(stocks, asks, store_c=store_c).items()}


def test_a_dose_gets_all_it_wants_from_one_can() -> None:
    assert allot([can(1, 20)], [MAIZE], store_c=None) == {
        MAIZE.dose: Allotment(litres=8, short_litres=0, draws=(Draw(can=1, litres=8),))
    }


def test_what_the_cans_lack_is_short() -> None:
    found = allot([can(1, 5)], [MAIZE], store_c=None)[MAIZE.dose]

    assert (found.litres, found.short_litres) == (5, 3)


def test_without_a_can_all_is_short() -> None:
    assert allot([], [MAIZE], store_c=None) == {
        MAIZE.dose: Allotment(litres=0, short_litres=8, draws=())
    }


def test_the_dose_due_first_is_served_first() -> None:
    tomorrow = replace(TOMATO, due_on=date(2027, 6, 2), on=date(2027, 6, 2))

    assert got([can(1, 10)], tomorrow, MAIZE) == {MAIZE.dose: 8, TOMATO.dose: 2}


def test_of_two_doses_on_a_day_the_younger_plot_is_served_first() -> None:
    """Common practice, no source: plants need most nutrients while young."""
    assert got([can(1, 10)], MAIZE, TOMATO) == {TOMATO.dose: 8, MAIZE.dose: 2}


def test_an_overdue_dose_keeps_its_turn() -> None:
    overdue = replace(MAIZE, due_on=date(2027, 5, 29))

    assert got([can(1, 10)], TOMATO, overdue) == {MAIZE.dose: 8, TOMATO.dose: 2}


def test_equal_turns_go_by_planting_and_number() -> None:
    twins = [replace(MAIZE, dose=dose) for dose in [(2, 1), (1, 3), (1, 2)]]

    assert [ask.dose for ask in sorted(twins, key=turn)] == [(1, 2), (1, 3), (2, 1)]


@pytest.mark.parametrize(
    ("regime", "sealed_on"),
    [
        pytest.param(Regime.OWN_HOUSEHOLD, FORTNIGHT_AGO, id="14 days for the household"),
        pytest.param(Regime.GENERAL, MONTH_AGO, id="30 days in general"),
        pytest.param(Regime.SOLD_PROCESSED, MONTH_AGO, id="30 days if processed"),
        pytest.param(Regime.SOLD_ANY, HALF_A_YEAR_AGO, id="183 days if sold"),
    ],
)
def test_a_can_is_used_from_the_day_it_is_ready(regime: Regime, sealed_on: date) -> None:
    ask = replace(MAIZE, regime=regime)
    day_later = date.fromordinal(sealed_on.toordinal() + 1)

    assert got([can(1, 20, sealed_on)], ask) == {MAIZE.dose: 8}
    assert got([can(1, 20, day_later)], ask) == {MAIZE.dose: 0}


def test_an_overdue_dose_may_take_from_a_can_that_became_ready_since() -> None:
    overdue = replace(MAIZE, due_on=date(2027, 5, 29))

    assert got([can(1, 20, MONTH_AGO)], overdue) == {MAIZE.dose: 8}


@pytest.mark.parametrize("store_c", [None, 19.9])
def test_no_six_months_can_is_used_from_a_store_not_known_to_be_warm(
    store_c: float | None,
) -> None:
    """WHO 2006, vol. 4: six months hold at 20 degrees and above."""
    flagged = replace(can(1, 20, HALF_A_YEAR_AGO), longer_rest=True)
    sold = replace(SOLD_KALE, on=TODAY)

    assert got([can(1, 20, HALF_A_YEAR_AGO)], sold, store_c=store_c) == {SOLD_KALE.dose: 0}
    assert got([flagged], MAIZE, store_c=store_c) == {MAIZE.dose: 0}
    assert got([flagged], MAIZE, store_c=20.0) == {MAIZE.dose: 8}


def test_the_can_that_was_ready_longest_is_drawn_first() -> None:
    found = allot([can(1, 20), can(2, 5, HALF_A_YEAR_AGO)], [MAIZE], store_c=None)

    assert found[MAIZE.dose].draws == (Draw(can=2, litres=5), Draw(can=1, litres=3))


def test_a_sealed_can_goes_before_one_still_expected() -> None:
    late = replace(MAIZE, due_on=date(2027, 8, 1), on=date(2027, 8, 1))
    expected = Stock(can=1, sealed_on=date(2027, 6, 5), litres=20, forecast=True)

    found = allot([expected, can(2, 5)], [late], store_c=None)

    assert found[MAIZE.dose].draws == (
        Draw(can=2, litres=5),
        Draw(can=1, litres=3, forecast=True),
    )


def test_the_household_leaves_the_old_can_to_the_crop_that_is_sold() -> None:
    """Both cans serve the maize, only can 1 the kale; the maize alone would take can 1."""
    stocks = [can(1, 10, HALF_A_YEAR_AGO), can(2, 10)]

    found = allot(stocks, [MAIZE, SOLD_KALE], store_c=WARM_C)

    assert allot(stocks, [MAIZE], store_c=WARM_C)[MAIZE.dose].draws == (Draw(can=1, litres=8),)
    assert {dose: got.short_litres for dose, got in found.items()} == {
        MAIZE.dose: 0,
        SOLD_KALE.dose: 0,
    }
    assert [draw.can for draw in found[SOLD_KALE.dose].draws] == [1]


def test_a_dose_never_gives_up_litres_for_one_after_it() -> None:
    stocks = [can(1, 10, HALF_A_YEAR_AGO), can(2, 3)]

    assert got(stocks, MAIZE, SOLD_KALE) == {MAIZE.dose: 8, SOLD_KALE.dose: 10 + 3 - 8}


def test_room_is_made_through_more_than_one_dose() -> None:
    """Own greens may use all three cans, maize the two older ones, sold kale the oldest.

    8 L wanted each and 8 L in each can: greens end with can 3, maize with can 2, kale with can 1.
    """
    greens = replace(MAIZE, dose=(4, 1), regime=Regime.OWN_HOUSEHOLD, due_on=date(2027, 5, 30))
    stocks = [can(1, 8, HALF_A_YEAR_AGO), can(2, 8), can(3, 8, FORTNIGHT_AGO)]

    found = allot(stocks, [greens, MAIZE, SOLD_KALE], store_c=WARM_C)

    assert [[draw.can for draw in got.draws] for got in found.values()] == [[3], [2], [1]]


def test_a_short_dose_is_rounded_down_and_a_whole_one_is_not() -> None:
    stocks, seven_and_a_half = [can(1, 13.25)], replace(MAIZE, litres=7.5)

    found = allot(stocks, [seven_and_a_half, replace(TOMATO, litres=7.5)], store_c=None)
    rounded = allot(
        stocks, [seven_and_a_half, replace(TOMATO, litres=7.5)], store_c=None, rounded=floor
    )

    assert [got.litres for got in found.values()] == [7.5, 5.75]
    assert [got.litres for got in rounded.values()] == [7.5, 5]
    assert [got.short_litres for got in rounded.values()] == [0, 2.5]


def test_what_rounding_takes_off_stays_for_the_next_dose() -> None:
    small = replace(MAIZE, litres=0.5)

    found = allot([can(1, 5.75)], [TOMATO, small], store_c=None, rounded=floor)

    assert [got.litres for got in found.values()] == [5, 0.5]


def test_rounding_goes_down_to_an_empty_hand() -> None:
    found = allot([can(1, 0.75)], [MAIZE], store_c=None, rounded=floor)

    assert found[MAIZE.dose] == Allotment(litres=0, short_litres=8, draws=())


def test_a_dose_whose_days_have_passed_leaves_a_later_one_what_only_that_could_use() -> None:
    """Both want 10 L: the first could wait for can 2 of 31 March, the second could not."""
    stocks = [
        Stock(can=1, sealed_on=date(2027, 2, 1), litres=10),
        Stock(can=2, sealed_on=date(2027, 3, 1), litres=10),
    ]
    first = Ask(
        dose=(1, 1),
        due_on=date(2027, 3, 27),
        on=date(2027, 4, 2),
        planted_on=date(2027, 3, 27),
        litres=10,
        regime=Regime.GENERAL,
    )
    second = replace(first, dose=(2, 1), due_on=date(2027, 3, 28), on=date(2027, 3, 30))

    gets = allot(stocks, [first, second], store_c=24)

    assert [gets[ask.dose].litres for ask in (first, second)] == [10, 10]


def test_a_dose_that_was_told_keeps_its_urine_before_an_earlier_one() -> None:
    """A can of 10 L became ready after the older dose's day, when the younger was told of it."""
    told = replace(TOMATO, due_on=date(2027, 6, 2), told=True)
    older = replace(MAIZE, due_on=date(2027, 5, 30))

    assert turn(told) < turn(older)
    assert got([can(1, 10)], older, told) == {TOMATO.dose: 8, MAIZE.dose: 2}


def test_a_dose_that_was_told_keeps_the_can_it_was_told_of() -> None:
    """Kale to be sold could only have can 1, but whoever was told of can 1 will pour from it."""
    old, new = can(1, 8, HALF_A_YEAR_AGO), can(2, 8)
    kale = replace(SOLD_KALE, litres=4)

    assert got([old, new], MAIZE, kale) == {MAIZE.dose: 8, kale.dose: 4}
    assert got([old, new], replace(MAIZE, told=True), kale) == {MAIZE.dose: 8, kale.dose: 0}
