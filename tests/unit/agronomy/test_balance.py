"""Whether a household's urine is enough, and what to do where it is not."""

from collections.abc import Mapping
from datetime import date

from service.agronomy.allotment import Allotment, Ask, Stock, allot
from service.agronomy.balance import Balance, Suggestion, household_balance
from service.agronomy.calendar import add_days
from service.agronomy.containers import DoseKey
from service.agronomy.regimes import Regime

PLANTED_ON = date(2027, 3, 15)
MAIZE, KALE = 1, 2


def some_asks(planting: int, litres: list[float], *, planted_on: date = PLANTED_ON) -> list[Ask]:
    """Return a dose a week."""
    return [
        Ask(
            dose=(planting, number),
            due_on=add_days(planted_on, 7 * number),
            on=add_days(planted_on, 7 * number),
            planted_on=planted_on,
            litres=each,
            regime=Regime.GENERAL,
        )
        for number, each in enumerate(litres, start=1)
    ]


def ready(litres: float) -> Stock:
    return Stock(can=1, sealed_on=date(2027, 1, 1), litres=litres)


def balance_of(
    asks: list[Ask], stocks: list[Stock], areas_m2: Mapping[int, float] | None = None
) -> Balance:
    allotments: Mapping[DoseKey, Allotment] = allot(stocks, asks, store_c=None)
    return household_balance(asks, allotments, areas_m2=areas_m2 or {MAIZE: 100})


def test_what_is_short_and_the_ground_that_is_served() -> None:
    """60 L ready of 150 L for 100 square metres: 90 L short, 40 square metres served."""
    found = balance_of(some_asks(MAIZE, [30.0] * 5), [ready(60)])

    assert (found.wanted_litres, found.have_litres, found.short_litres) == (150, 60, 90)
    assert (found.area_m2, round(found.area_served_m2, 6)) == (100, 40)


def test_where_all_is_there_all_is_served_and_nothing_suggested() -> None:
    found = balance_of(some_asks(MAIZE, [30.0] * 5), [ready(200)])

    assert (found.short_litres, found.area_served_m2, found.suggestions) == (0, 100, ())


def test_urine_that_comes_too_late_for_the_first_dose_serves_no_ground_whole() -> None:
    """Half of 40 L, but all of it ready only on 7 April, after the first of two doses."""
    late = Stock(can=1, sealed_on=date(2027, 3, 8), litres=20)
    asks = some_asks(MAIZE, [20, 20], planted_on=date(2027, 3, 25))

    found = balance_of(asks, [late])

    assert (found.have_litres, found.area_served_m2) == (20, 0)


def test_urine_kept_from_an_early_dose_counts_for_a_late_one() -> None:
    """30 L for doses of 10, 10 and 40: with half a dose each time, half the ground is served."""
    found = balance_of(some_asks(MAIZE, [10, 10, 40]), [ready(30)])

    assert round(found.area_served_m2, 6) == 50


def test_litres_of_cans_not_sealed_yet_are_told_apart() -> None:
    soon = Stock(can=2, sealed_on=date(2027, 2, 1), litres=25, forecast=True)

    found = balance_of(some_asks(MAIZE, [40]), [ready(10), soon])

    assert (found.have_litres, found.forecast_litres, found.short_litres) == (35, 25, 5)


def test_the_ground_of_all_plantings_is_added_up() -> None:
    """The younger kale gets its 20 L on the same days; maize gets 10 of 40."""
    kale = some_asks(KALE, [20], planted_on=date(2027, 3, 15))
    maize = some_asks(MAIZE, [40], planted_on=date(2027, 3, 15))

    found = balance_of([*maize, *kale], [ready(50)], {MAIZE: 40, KALE: 20})

    assert found.area_m2 == 60
    assert round(found.area_served_m2, 6) == 40 + 10


def test_a_household_with_nothing_to_pour_is_not_short() -> None:
    found = balance_of([], [ready(20)])

    assert (found.wanted_litres, found.area_m2, found.suggestions) == (0, 0, ())


def test_a_dose_of_nothing_takes_no_ground_away() -> None:
    assert balance_of(some_asks(MAIZE, [0, 10]), [ready(10)]).area_served_m2 == 100


def test_with_several_plots_the_young_come_first() -> None:
    asks = [*some_asks(MAIZE, [20, 20]), *some_asks(KALE, [20, 20])]

    found = balance_of(asks, [ready(50)], {MAIZE: 10, KALE: 10})

    assert found.suggestions[0] is Suggestion.SERVE_YOUNG


def test_where_more_than_half_is_missing_halving_is_told() -> None:
    asks = some_asks(MAIZE, [20, 20, 20])

    assert Suggestion.HALVE in balance_of(asks, [ready(29)]).suggestions
    assert Suggestion.HALVE not in balance_of(asks, [ready(30)]).suggestions


def test_the_last_dose_is_left_out_where_that_closes_the_gap() -> None:
    asks = some_asks(MAIZE, [20, 20, 20])

    assert balance_of(asks, [ready(45)]).suggestions == (
        Suggestion.DROP_LAST,
        Suggestion.COLLECT_MORE,
    )
    assert Suggestion.DROP_LAST not in balance_of(asks, [ready(39)]).suggestions


def test_an_only_dose_is_not_left_out() -> None:
    assert balance_of(some_asks(MAIZE, [20]), [ready(15)]).suggestions == (Suggestion.COLLECT_MORE,)


def test_a_planting_that_lacks_nothing_does_not_keep_the_last_dose_of_another() -> None:
    """Maize has one dose and gets it; of kale only the last is short."""
    asks = [*some_asks(MAIZE, [5]), *some_asks(KALE, [20, 20])]

    found = balance_of(asks, [ready(30)], {MAIZE: 10, KALE: 10})

    assert Suggestion.DROP_LAST in found.suggestions


def test_whoever_is_short_is_always_told_something() -> None:
    for litres in (0, 1, 20, 59):
        found = balance_of(some_asks(MAIZE, [20, 20, 20]), [ready(litres)])

        assert found.suggestions[-1] is Suggestion.COLLECT_MORE
