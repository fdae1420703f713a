"""Why a can is ready, what a dose gets from the store, and from when a harvest is safe."""

from dataclasses import replace
from datetime import date

from service.agronomy.allotment import Allotment, Ask, Stock, allot
from service.agronomy.reasons import Chain, RuleId
from service.agronomy.regimes import Regime
from service.agronomy.stock_chain import (
    RestAsk,
    explain_allotment,
    explain_can,
    explain_harvest,
    explain_planned_harvest,
    explain_rest,
)
from service.agronomy.withholding import DoseStanding

OLDER = Ask(
    dose=(1, 3),
    due_on=date(2027, 4, 4),
    on=date(2027, 4, 4),
    planted_on=date(2027, 3, 15),
    litres=20,
    regime=Regime.GENERAL,
)
YOUNGER = replace(OLDER, dose=(2, 2), planted_on=date(2027, 3, 22))
LATER = replace(OLDER, dose=(1, 4), due_on=date(2027, 4, 11), on=date(2027, 4, 11))
DOSE = DoseStanding(
    number=1,
    due_on=date(2027, 3, 15),
    closes_on=date(2027, 3, 21),
    given_on=None,
    known_not_done=False,
)


def rules_of(chain: Chain) -> list[RuleId]:
    return [step.rule for step in chain]


def test_a_can_rests_for_its_eaters_from_the_day_of_sealing() -> None:
    ask = RestAsk(regime=Regime.GENERAL, store_c=None)

    chain = explain_can(ask, date(2027, 3, 1))

    assert rules_of(chain) == [RuleId.REGIME_TOLD, RuleId.REST_DAYS, RuleId.RESTS]
    assert chain[-1].values == {
        "sealed_on": date(2027, 3, 1),
        "days": 30,
        "on": date(2027, 3, 31),
    }


def test_six_months_name_the_store_that_they_hold_in() -> None:
    sold = RestAsk(regime=Regime.SOLD_ANY, regime_told=False, store_c=None)

    assert rules_of(explain_rest(sold)) == [
        RuleId.REGIME_ASSUMED,
        RuleId.STORE_UNKNOWN,
        RuleId.REST_DAYS,
    ]
    assert RuleId.WARM_STORE in rules_of(explain_rest(replace(sold, store_c=24)))
    assert RuleId.COLD_STORE in rules_of(explain_rest(replace(sold, store_c=17)))


def test_a_flag_for_longer_rest_goes_before_the_eaters() -> None:
    flagged = RestAsk(regime=Regime.GENERAL, longer_rest=True, store_c=24)

    assert rules_of(explain_rest(flagged)) == [RuleId.WARM_STORE, RuleId.LONGER_REST]


def test_an_allotment_says_turn_tie_cans_and_lack() -> None:
    """30 L ready: 20 L to the younger plot, 10 L of 20 L to the older, none to the later dose."""
    asks = (OLDER, YOUNGER, LATER)
    stock = Stock(can=7, sealed_on=date(2027, 3, 1), litres=30)
    got = allot((stock,), asks, store_c=None)

    first = explain_allotment(YOUNGER, got[YOUNGER.dose], asks)
    second = explain_allotment(OLDER, got[OLDER.dose], asks)
    third = explain_allotment(LATER, got[LATER.dose], asks)

    assert rules_of(first) == [
        RuleId.DUE_FIRST,
        RuleId.YOUNGER_FIRST,
        RuleId.FROM_CAN,
        RuleId.ENOUGH,
    ]
    assert [chain[0].values["place"] for chain in (first, second, third)] == [1, 2, 3]
    assert second[1].values["younger_on"] == date(2027, 3, 22)
    assert second[2].values == {"can": 7, "litres": 10}
    assert second[3].rule is RuleId.SHORT
    assert second[3].values["short_litres"] == 10
    assert rules_of(third) == [RuleId.DUE_FIRST, RuleId.SHORT]


def test_a_dose_told_goes_before_those_not_told_and_ties_with_none_of_them() -> None:
    told = replace(OLDER, told=True)
    asks = (YOUNGER, told)
    stock = Stock(can=7, sealed_on=date(2027, 3, 1), litres=30)
    got = allot((stock,), asks, store_c=None)

    first = explain_allotment(told, got[told.dose], asks)

    assert rules_of(first) == [
        RuleId.TOLD_FIRST,
        RuleId.DUE_FIRST,
        RuleId.FROM_CAN,
        RuleId.ENOUGH,
    ]
    assert first[1].values["place"] == 1
    assert RuleId.YOUNGER_FIRST not in rules_of(explain_allotment(YOUNGER, got[YOUNGER.dose], asks))


def test_a_can_still_to_be_sealed_is_named_as_such() -> None:
    expected = Stock(can=8, sealed_on=date(2027, 3, 1), litres=30, forecast=True)
    got = allot((expected,), (OLDER,), store_c=None)

    assert RuleId.FROM_EXPECTED_CAN in rules_of(explain_allotment(OLDER, got[OLDER.dose], (OLDER,)))


def test_plots_of_one_age_have_no_tie_to_tell_of() -> None:
    twin = replace(OLDER, dose=(2, 3))
    nothing = Allotment(litres=0, short_litres=20, draws=())

    assert RuleId.YOUNGER_FIRST not in rules_of(explain_allotment(OLDER, nothing, (OLDER, twin)))


def test_a_harvest_waits_a_month_after_the_dose_that_counts() -> None:
    given = replace(DOSE, given_on=date(2027, 3, 16))
    today = date(2027, 3, 16)

    assert rules_of(explain_harvest((given,), today)) == [RuleId.LAST_GIVEN, RuleId.MONTH_AFTER]
    assert explain_harvest((given,), today)[-1].values["on"] == date(2027, 4, 15)
    assert rules_of(explain_harvest((DOSE,), today)) == [RuleId.LAST_PERHAPS, RuleId.MONTH_AFTER]
    assert explain_harvest((DOSE,), today)[-1].values["on"] == date(2027, 4, 20)
    assert explain_harvest((replace(DOSE, known_not_done=True),), today) == ()


def test_the_later_of_two_safe_days_holds() -> None:
    last_on = date(2027, 5, 16)

    assert explain_planned_harvest(7, last_on)[-1].values["on"] == date(2027, 6, 15)
    assert explain_planned_harvest(7, last_on, safe_on=date(2027, 6, 1))[-1].values["on"] == date(
        2027, 6, 15
    )
    later = explain_planned_harvest(7, last_on, safe_on=date(2027, 6, 20))
    assert later[-1].rule is RuleId.LATER_BY_NOW
    assert later[-1].values["on"] == date(2027, 6, 20)
