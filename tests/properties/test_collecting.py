"""Laws of collecting: a household that follows the plan is in time, and not a day too early."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.agronomy.allotment import Ask, Stock, allot
from service.agronomy.calendar import add_days, days_between
from service.agronomy.collect_plan import CollectPlan, Means, Wanted
from service.agronomy.collecting import collect_for_doses
from service.agronomy.regimes import Regime

FIRST_ON = date(2027, 3, 15)
EARLY = date(2020, 1, 1)
REGIMES = [Regime.OWN_HOUSEHOLD, Regime.GENERAL, Regime.SOLD_PROCESSED, Regime.SOLD_ANY]


@st.composite
def doses(draw: st.DrawFn) -> list[Wanted]:
    return [
        Wanted(
            dose=(1, number),
            due_on=add_days(FIRST_ON, draw(st.integers(0, 120))),
            litres=draw(st.integers(1, 600)) / 10,
            regime=draw(st.sampled_from(REGIMES)),
        )
        for number in range(1, draw(st.integers(1, 7)) + 1)
    ]


@st.composite
def means(draw: st.DrawFn) -> Means:
    stocks = tuple(
        Stock(
            can=number,
            sealed_on=add_days(FIRST_ON, draw(st.integers(-250, 30))),
            litres=draw(st.integers(1, 200)) / 10,
        )
        for number in range(draw(st.integers(0, 3)))
    )
    return Means(
        litres_a_day=draw(st.integers(5, 80)) / 10,
        can_litres=draw(st.sampled_from([5, 10, 18.9, 20, 25])),
        stocks=stocks,
        store_c=24,
    )


def short_of(plan: CollectPlan, wanted: list[Wanted], house: Means) -> float:
    """Return the litres that the doses lack when the plan is followed."""
    collected = tuple(
        Stock(can=100 + seal.place, sealed_on=seal.full_on, litres=seal.litres)
        for seal in plan.seal_by
    )
    asks = [
        Ask(
            dose=dose.dose,
            due_on=dose.due_on,
            on=dose.due_on,
            planted_on=FIRST_ON,
            litres=dose.litres,
            regime=dose.regime,
        )
        for dose in wanted
    ]
    gets = allot((*house.stocks, *collected), asks, store_c=house.store_c)
    return sum((each.short_litres for each in gets.values()), start=0.0)


@given(wanted=doses(), house=means())
def test_whoever_follows_the_plan_lacks_nothing(wanted: list[Wanted], house: Means) -> None:
    plan = collect_for_doses(wanted, means=house, today=EARLY)

    assert short_of(plan, wanted, house) == pytest.approx(0, abs=1e-6)


@given(wanted=doses(), house=means())
def test_every_can_is_full_by_its_day_and_one_just_on_it(
    wanted: list[Wanted], house: Means
) -> None:
    plan = collect_for_doses(wanted, means=house, today=EARLY)
    assume(plan.seal_by)

    spare = [days_between(seal.full_on, seal.seal_on) for seal in plan.seal_by]

    assert min(spare) == 0
    assert all(0 < seal.litres <= house.can_litres + 1e-9 for seal in plan.seal_by)


@given(wanted=doses(), house=means(), more=st.integers(1, 40))
def test_who_collects_more_need_not_start_earlier(
    wanted: list[Wanted], house: Means, more: int
) -> None:
    plan = collect_for_doses(wanted, means=house, today=EARLY)
    assume(plan.start_on is not None)

    richer = replace(house, litres_a_day=house.litres_a_day + more / 10)
    other = collect_for_doses(wanted, means=richer, today=EARLY)

    assert (other.start_on or date.max) >= (plan.start_on or date.max)


@given(wanted=doses(), house=means(), days=st.integers(0, 60))
def test_a_later_day_is_in_time_for_no_earlier_dose(
    wanted: list[Wanted], house: Means, days: int
) -> None:
    plan = collect_for_doses(wanted, means=house, today=EARLY)
    assume(plan.start_on is not None)
    today = add_days(plan.start_on or EARLY, days)

    now, later = (
        collect_for_doses(wanted, means=house, today=day) for day in (today, add_days(today, 1))
    )

    assert later.too_late_for_first >= now.too_late_for_first
    assert now.ready_from is not None or later.ready_from is None
