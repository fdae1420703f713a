"""The values that a rest, a turn and a safe harvest are redone from."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.allotment import Allotment, Ask
from service.agronomy.containers import Draw
from service.agronomy.reasons import Chain, RuleId
from service.agronomy.regimes import Regime
from service.agronomy.stock_chain import (
    RestAsk,
    explain_allotment,
    explain_harvest,
    explain_planned_harvest,
    explain_rest,
)
from service.agronomy.withholding import DoseStanding

OLDEST = Ask(
    dose=(1, 3),
    due_on=date(2027, 4, 4),
    on=date(2027, 4, 4),
    planted_on=date(2027, 3, 1),
    litres=20,
    regime=Regime.GENERAL,
)
MIDDLE = replace(OLDEST, dose=(2, 2), planted_on=date(2027, 3, 8))
YOUNGEST = replace(OLDEST, dose=(3, 1), planted_on=date(2027, 3, 15))
DOSE = DoseStanding(
    number=1,
    due_on=date(2027, 3, 15),
    closes_on=date(2027, 3, 21),
    given_on=None,
    known_not_done=False,
)


def rules_of(chain: Chain) -> list[RuleId]:
    return [step.rule for step in chain]


def test_who_eats_the_crop_was_told_unless_it_is_said_otherwise() -> None:
    told = RestAsk(regime=Regime.GENERAL, store_c=None)

    assert rules_of(explain_rest(told)) == [RuleId.REGIME_TOLD, RuleId.REST_DAYS]
    assert rules_of(explain_rest(replace(told, regime_told=False))) == [
        RuleId.REGIME_ASSUMED,
        RuleId.REST_DAYS,
    ]


def test_a_tie_names_one_other_plot_the_youngest_first() -> None:
    got = Allotment(litres=0, short_litres=20, draws=())

    chain = explain_allotment(OLDEST, got, (OLDEST, MIDDLE, YOUNGEST))

    assert rules_of(chain) == [RuleId.DUE_FIRST, RuleId.YOUNGER_FIRST, RuleId.SHORT]
    assert chain[0].values == {"place": 3, "doses": 3, "due_on": date(2027, 4, 4)}
    assert chain[1].values == {
        "due_on": date(2027, 4, 4),
        "younger_on": date(2027, 3, 15),
        "older_on": date(2027, 3, 1),
    }


def test_less_than_a_litre_short_is_short() -> None:
    got = Allotment(litres=19.5, short_litres=0.5, draws=(Draw(can=7, litres=19.5),))

    short = explain_allotment(OLDEST, got, (OLDEST,))[-1]

    assert short.rule is RuleId.SHORT
    assert short.values == {
        "wanted_litres": 20,
        "litres": 19.5,
        "short_litres": 0.5,
        "on": date(2027, 4, 4),
    }


def test_of_two_doses_given_on_one_day_the_later_one_is_named() -> None:
    given = replace(DOSE, given_on=date(2027, 3, 20))
    asks = [given, replace(given, number=2), replace(given, number=3, given_on=date(2027, 3, 18))]

    first, _ = explain_harvest(asks, date(2027, 3, 22))

    assert first.values == {"number": 2, "on": date(2027, 3, 20)}


def test_of_doses_that_perhaps_were_given_the_later_one_is_named() -> None:
    """Dose 3 was not done for certain, and dose 4 is not due yet."""
    asks = [
        DOSE,
        replace(DOSE, number=2),
        replace(DOSE, number=3, known_not_done=True),
        replace(DOSE, number=4, due_on=date(2027, 3, 17)),
    ]

    first, _ = explain_harvest(asks, date(2027, 3, 16))

    assert first.rule is RuleId.LAST_PERHAPS
    assert first.values == {"number": 2, "on": date(2027, 3, 21)}


def test_a_dose_may_have_been_given_from_its_own_day_on() -> None:
    assert rules_of(explain_harvest([DOSE], DOSE.due_on)) == [
        RuleId.LAST_PERHAPS,
        RuleId.MONTH_AFTER,
    ]


@pytest.mark.parametrize(
    ("safe_on", "later"),
    [
        pytest.param(date(2027, 6, 15), False, id="the same day"),
        pytest.param(date(2027, 6, 16), True, id="a day later"),
    ],
)
def test_a_planned_harvest_waits_for_a_later_day_only(safe_on: date, *, later: bool) -> None:
    chain = explain_planned_harvest(7, date(2027, 5, 16), safe_on=safe_on)

    assert (chain[-1].rule is RuleId.LATER_BY_NOW) is later
    assert chain[-1].values["on"] == safe_on
