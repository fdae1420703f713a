"""From when to collect, and by when to seal."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.collect_plan import Means, NoStart, Wanted
from service.agronomy.collecting import collect_by, collect_by_regime, collect_for_doses
from service.agronomy.regimes import Regime
from service.agronomy.supply import daily_litres

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


def test_a_start_and_a_last_sealing_are_counted_back_from_sowing() -> None:
    """A14: two adults, a child, 150 L by 15 March: 60 days, sealed 13 February, begun 15 December.

    Worked out apart from this code.
    """
    litres_a_day = daily_litres(adults=2, children=1, share=1.0).usual
    means = replace(HOUSE, litres_a_day=litres_a_day)

    plan = collect_by(SOWING_ON, 150, regime=Regime.GENERAL, means=means, today=EARLY)

    assert (litres_a_day, plan.days) == (2.5, 60)
    assert (plan.start_on, plan.last_seal_on) == (date(2026, 12, 15), date(2027, 2, 13))
    assert (plan.cans, plan.too_late_for_first, plan.why_not) == (8, False, None)


def test_each_can_has_a_day_on_which_it_is_full() -> None:
    """20 L are 8 days; the last of eight holds 10 L, 4 days."""
    plan = collect_by(SOWING_ON, 150, regime=Regime.GENERAL, means=HOUSE, today=EARLY)

    assert [seal.litres for seal in plan.seal_by] == [20] * 7 + [10]
    assert [seal.place for seal in plan.seal_by] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert plan.seal_by[0].full_on == date(2026, 12, 23)
    assert plan.seal_by[6].full_on == date(2027, 2, 9)
    assert plan.seal_by[7].full_on == date(2027, 2, 13)
    assert {seal.seal_on for seal in plan.seal_by} == {date(2027, 2, 13)}


def test_each_kind_of_eater_has_its_own_dates() -> None:
    """14, 30, 30 and 183 days before 15 March, and 60 days before that."""
    wanted = Wanted(dose=(1, 1), due_on=SOWING_ON, litres=150, regime=Regime.GENERAL)

    plans = collect_by_regime([wanted], means=replace(HOUSE, store_c=24), today=EARLY)

    assert {regime: (plan.start_on, plan.last_seal_on) for regime, plan in plans.items()} == {
        Regime.OWN_HOUSEHOLD: (date(2026, 12, 31), date(2027, 3, 1)),
        Regime.GENERAL: (date(2026, 12, 15), date(2027, 2, 13)),
        Regime.SOLD_PROCESSED: (date(2026, 12, 15), date(2027, 2, 13)),
        Regime.SOLD_ANY: (date(2026, 7, 15), date(2026, 9, 13)),
    }


@pytest.mark.parametrize(
    ("store_c", "why"), [(None, NoStart.STORE_UNKNOWN), (17.0, NoStart.COLD_STORE)]
)
def test_in_a_store_not_known_to_be_warm_no_day_is_named(
    store_c: float | None, why: NoStart
) -> None:
    plans = collect_by_regime(some_doses(), means=replace(HOUSE, store_c=store_c), today=EARLY)

    sold = plans[Regime.SOLD_ANY]
    assert (sold.start_on, sold.last_seal_on, sold.seal_by) == (None, None, ())
    assert (sold.why_not, sold.ready_from, sold.too_late_for_first) == (why, None, True)
    assert sold.never_ready == ((1, 1), (1, 2), (1, 3))
    assert plans[Regime.GENERAL].why_not is None


def test_a_can_is_due_when_the_first_dose_that_reaches_into_it_is() -> None:
    """30 + 20 + 20 L in cans of 20: cans 1 and 2 for dose 1, 3 for dose 2, 4 for dose 3.

    The days are 30 days before 15 March, 28 March and 4 April.
    """
    plan = collect_for_doses(some_doses(), means=HOUSE, today=EARLY)

    assert [(seal.litres, seal.seal_on) for seal in plan.seal_by] == [
        (20, date(2027, 2, 13)),
        (20, date(2027, 2, 13)),
        (20, date(2027, 2, 26)),
        (10, date(2027, 3, 5)),
    ]


def test_the_start_leaves_every_can_its_time() -> None:
    """Cans 1 and 2 take 16 days before 13 February; cans 3 and 4 are then early."""
    plan = collect_for_doses(some_doses(), means=HOUSE, today=EARLY)

    assert (plan.start_on, plan.last_seal_on, plan.days) == (
        date(2027, 1, 28),
        date(2027, 3, 5),
        28,
    )
    assert [seal.full_on for seal in plan.seal_by] == [
        date(2027, 2, 5),
        date(2027, 2, 13),
        date(2027, 2, 21),
        date(2027, 2, 25),
    ]


def test_a_slow_household_starts_for_the_last_dose() -> None:
    """At 0.5 L a day 70 L are 140 days, back from 5 March; 40 L would be 80 from 13 February."""
    plan = collect_for_doses(some_doses(), means=replace(HOUSE, litres_a_day=0.5), today=EARLY)

    assert (plan.start_on, plan.days) == (date(2026, 10, 16), 140)


@pytest.mark.parametrize(
    ("today", "late", "number"),
    [
        pytest.param(date(2027, 1, 28), False, 1, id="the last day"),
        pytest.param(date(2027, 1, 29), True, 2, id="a day late"),
        pytest.param(date(2027, 2, 18), True, 2, id="8 days before 26 February"),
        pytest.param(date(2027, 2, 19), True, 3, id="too late for the second"),
        pytest.param(date(2027, 2, 25), True, 3, id="8 days before 5 March"),
        pytest.param(date(2027, 2, 26), True, None, id="too late for all"),
    ],
)
def test_a_late_start_is_told_with_the_dose_it_is_in_time_for(
    today: date, number: int | None, *, late: bool
) -> None:
    plan = collect_for_doses(some_doses(), means=HOUSE, today=today)

    assert plan.too_late_for_first is late
    assert (None if plan.ready_from is None else plan.ready_from.dose[1]) == number
    assert plan.start_on == date(2027, 1, 28)


def test_doses_for_other_eaters_are_ordered_by_the_day_they_must_be_sealed() -> None:
    """Own household 14 days before 28 March is 14 March; sold 183 before 4 April is 3 October."""
    first, second, third = some_doses()
    wanted = [
        replace(second, regime=Regime.OWN_HOUSEHOLD),
        replace(third, regime=Regime.SOLD_ANY),
        first,
    ]

    plan = collect_for_doses(wanted, means=replace(HOUSE, store_c=21), today=EARLY)

    assert [seal.seal_on for seal in plan.seal_by] == [
        date(2026, 10, 3),
        date(2027, 2, 13),
        date(2027, 2, 13),
        date(2027, 3, 14),
    ]


def test_a_crop_that_no_can_is_ready_for_does_not_stop_the_others() -> None:
    first, second, _ = some_doses()
    wanted = [first, replace(second, regime=Regime.SOLD_ANY)]

    plan = collect_for_doses(wanted, means=HOUSE, today=EARLY)

    assert (plan.never_ready, plan.cans, plan.why_not) == (((1, 2),), 2, None)
