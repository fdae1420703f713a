"""Collecting where days, cans and litres stand at an edge."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.collect_plan import Means, NoStart
from service.agronomy.collecting import collect_by
from service.agronomy.regimes import Regime

SOWING_ON = date(2027, 3, 15)
SEALED_BY = date(2027, 2, 13)  # 30 days before
EARLY = date(2026, 1, 1)
HOUSE = Means(litres_a_day=2.5, can_litres=20)


def test_urine_that_stands_in_the_can_already_takes_no_day() -> None:
    means = replace(HOUSE, filling_litres=20, litres_a_day=0.5)

    plan = collect_by(SOWING_ON, 15, regime=Regime.GENERAL, means=means, today=SEALED_BY)

    assert (plan.days, plan.start_on, plan.seal_by[0].full_on) == (0, SEALED_BY, SEALED_BY)
    assert plan.ready_from is not None


def test_a_full_can_alone_does_not_make_a_plan_where_nothing_more_is_collected() -> None:
    means = replace(HOUSE, filling_litres=20, litres_a_day=0)

    plan = collect_by(SOWING_ON, 30, regime=Regime.GENERAL, means=means, today=EARLY)

    assert (plan.why_not, plan.cans) == (NoStart.TOO_LITTLE, 0)


@pytest.mark.parametrize(
    ("litres", "days", "why"),
    [
        pytest.param(73, 730, None, id="two years"),
        pytest.param(73.1, 0, NoStart.TOO_LITTLE, id="a day more"),
    ],
)
def test_collecting_may_take_two_years_and_no_more(
    litres: float, days: int, why: NoStart | None
) -> None:
    """At 0.1 L a day; the two years are a project choice."""
    means = replace(HOUSE, litres_a_day=0.1)

    plan = collect_by(SOWING_ON, litres, regime=Regime.GENERAL, means=means, today=EARLY)

    assert (plan.days, plan.why_not) == (days, why)


@pytest.mark.parametrize(
    ("litres", "in_time"),
    [
        pytest.param(10, True, id="four days, to the day"),
        pytest.param(10.5, False, id="a fifth day is begun"),
    ],
)
def test_one_dose_is_late_if_its_own_litres_take_longer_than_is_left(
    litres: float, *, in_time: bool
) -> None:
    """Four days before the sealing, at 2.5 L a day."""
    today = date(2027, 2, 9)

    plan = collect_by(SOWING_ON, litres, regime=Regime.GENERAL, means=HOUSE, today=today)

    assert (plan.ready_from is not None, plan.too_late_for_first) == (in_time, not in_time)


def test_an_amount_without_a_planting_counts_as_its_first_dose() -> None:
    plan = collect_by(SOWING_ON, 10, regime=Regime.SOLD_ANY, means=HOUSE, today=EARLY)

    assert plan.never_ready == ((0, 1),)
    assert plan.days == 0
