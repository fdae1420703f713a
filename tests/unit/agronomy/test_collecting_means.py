"""What a household collects with: its stock, its cans and how much it collects."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.allotment import Stock
from service.agronomy.collect_plan import Means, NoStart, Wanted
from service.agronomy.collecting import collect_by, collect_for_doses
from service.agronomy.regimes import Regime

SOWING_ON = date(2027, 3, 15)
EARLY = date(2026, 10, 1)
HOUSE = Means(litres_a_day=2.5, can_litres=20)


def some_doses() -> list[Wanted]:
    """Return three doses of 30, 20 and 20 litres."""
    return [
        Wanted(dose=(1, number), due_on=on, litres=litres, regime=Regime.GENERAL)
        for number, on, litres in (
            (1, date(2027, 3, 15), 30.0),
            (2, date(2027, 3, 28), 20.0),
            (3, date(2027, 4, 4), 20.0),
        )
    ]


def test_what_is_in_stock_is_taken_first() -> None:
    """35 L, rested by then: dose 1 and 5 L of dose 2 are there, 35 L are to be collected."""
    stock = Stock(can=1, sealed_on=date(2027, 1, 1), litres=35)

    plan = collect_for_doses(some_doses(), means=replace(HOUSE, stocks=(stock,)), today=EARLY)

    assert [(seal.litres, seal.seal_on) for seal in plan.seal_by] == [
        (20, date(2027, 2, 26)),
        (15, date(2027, 3, 5)),
    ]
    assert plan.start_on == date(2027, 2, 18)
    assert plan.ready_from == some_doses()[1]


def test_stock_that_is_not_rested_by_a_dose_does_not_count_for_it() -> None:
    """Sealed on 20 February: ready on 22 March, after dose 1."""
    stock = Stock(can=1, sealed_on=date(2027, 2, 20), litres=40)

    plan = collect_for_doses(some_doses(), means=replace(HOUSE, stocks=(stock,)), today=EARLY)

    assert [seal.litres for seal in plan.seal_by] == [20, 10]
    assert {seal.seal_on for seal in plan.seal_by} == {date(2027, 2, 13)}


def test_where_the_stock_is_enough_nothing_is_to_be_collected() -> None:
    stock = Stock(can=1, sealed_on=date(2027, 1, 1), litres=70)

    plan = collect_for_doses(some_doses(), means=replace(HOUSE, stocks=(stock,)), today=EARLY)

    assert (plan.why_not, plan.start_on, plan.cans) == (NoStart.NOTHING_LACKS, None, 0)
    assert not plan.too_late_for_first
    assert collect_for_doses([], means=HOUSE, today=EARLY).why_not is NoStart.NOTHING_LACKS


def test_what_is_in_the_can_being_filled_saves_days() -> None:
    """10 L are 4 days of the 60."""
    means = replace(HOUSE, filling_litres=10)

    plan = collect_by(SOWING_ON, 150, regime=Regime.GENERAL, means=means, today=EARLY)

    assert (plan.days, plan.start_on, plan.cans) == (56, date(2026, 12, 19), 8)


def test_cans_that_need_the_longer_rest_are_sealed_half_a_year_before() -> None:
    means = replace(HOUSE, longer_rest=True, store_c=22)

    plan = collect_by(SOWING_ON, 20, regime=Regime.GENERAL, means=means, today=EARLY)

    assert plan.last_seal_on == date(2026, 9, 13)


def test_stock_serves_where_new_cans_would_never_be_ready() -> None:
    stock = Stock(can=1, sealed_on=date(2027, 1, 1), litres=30)
    means = replace(HOUSE, longer_rest=True, stocks=(stock,))

    assert collect_for_doses(some_doses(), means=means, today=EARLY).never_ready == ((1, 2), (1, 3))


@pytest.mark.parametrize("litres_a_day", [0.0, 0.05])
def test_who_collects_too_little_is_given_no_day(litres_a_day: float) -> None:
    """70 L at 0.05 L a day are 1,400 days, over the two years that are looked back."""
    means = replace(HOUSE, litres_a_day=litres_a_day)

    plan = collect_for_doses(some_doses(), means=means, today=EARLY)

    assert (plan.why_not, plan.start_on, plan.ready_from) == (NoStart.TOO_LITTLE, None, None)


def test_cans_that_hold_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="more than nothing"):
        collect_for_doses(some_doses(), means=replace(HOUSE, can_litres=0), today=EARLY)


def test_tiny_cans_are_all_given_a_day() -> None:
    plan = collect_for_doses(
        [replace(dose, litres=0.3) for dose in some_doses()],
        means=replace(HOUSE, can_litres=0.1),
        today=EARLY,
    )

    assert plan.cans == 9
    assert plan.last_seal_on == date(2027, 3, 5)
