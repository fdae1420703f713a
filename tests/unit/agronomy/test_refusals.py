"""What is refused, with which code."""

from collections.abc import Callable
from datetime import date

import pytest

from service.agronomy import refusals
from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.errors import RefusedError

NAN = float("nan")
PLANTED_ON, ENDS_ON = date(2027, 3, 15), date(2027, 7, 18)


def check_dates(*, emerged_on: date | None = None, first_harvest_on: date | None = None) -> None:
    refusals.check_dates(
        planted_on=PLANTED_ON,
        emerged_on=emerged_on,
        first_harvest_on=first_harvest_on,
        season_ends_on=ENDS_ON,
    )


def check_nitrogen(n_kg_per_ha: float | None, n_g_per_litre: float) -> None:
    refusals.check_nitrogen(n_kg_per_ha=n_kg_per_ha, n_g_per_litre=n_g_per_litre)


REFUSED = [
    ("cowpea", "legume", lambda: refusals.check_crop(crop("cowpea"))),
    ("banana", "perennial", lambda: refusals.check_crop(crop("banana"))),
    (
        "rice, ground unknown",
        "waterlogged",
        lambda: refusals.check_drained(crop("rice-transplanted"), drained=False),
    ),
    ("up before planting", "dates", lambda: check_dates(emerged_on=date(2027, 3, 14))),
    ("harvest on planting", "dates", lambda: check_dates(first_harvest_on=PLANTED_ON)),
    ("harvest after end", "dates", lambda: check_dates(first_harvest_on=date(2027, 7, 19))),
    ("up after the end", "dates", lambda: check_dates(emerged_on=date(2028, 3, 22))),
    (
        "up after harvest",
        "dates",
        lambda: check_dates(emerged_on=date(2027, 6, 2), first_harvest_on=date(2027, 6, 1)),
    ),
    (
        "sealed after harvest",
        "dates",
        lambda: refusals.check_sealed(date(2027, 7, 19), first_harvest_on=ENDS_ON),
    ),
    ("a year long past", "dates", lambda: refusals.check_year(date(1927, 3, 15))),
    ("a year far ahead", "dates", lambda: refusals.check_year(date(2100, 1, 1))),
    ("too small", "area", lambda: refusals.check_area(0.99)),
    ("too large", "area", lambda: refusals.check_area(10_001)),
    ("no area", "area", lambda: refusals.check_area(NAN)),
    ("no target", "nitrogen", lambda: check_nitrogen(0, 5)),
    ("no number as target", "nitrogen", lambda: check_nitrogen(NAN, 5)),
    ("endless target", "nitrogen", lambda: check_nitrogen(float("inf"), 5)),
    ("too weak", "nitrogen", lambda: check_nitrogen(None, 0.9)),
    ("too strong", "nitrogen", lambda: check_nitrogen(None, 12.1)),
    ("less than no water", "water", lambda: refusals.check_water_ratio(-1)),
    ("too much water", "water", lambda: refusals.check_water_ratio(10.5)),
    ("no number of parts", "water", lambda: refusals.check_water_ratio(NAN)),
    ("dry, too little", "water", lambda: refusals.check_season_water(1.9, Season.DRY)),
    ("rains, too much", "water", lambda: refusals.check_season_water(11, Season.RAINS)),
    ("over 6", "over-ceiling", lambda: refusals.check_amount(6.01, share=1)),
    ("over 3 on poor soil", "over-ceiling", lambda: refusals.check_amount(3.01, share=0.5)),
    ("no amount", "over-ceiling", lambda: refusals.check_amount(NAN, share=1)),
    ("cold", "cold-store", lambda: refusals.check_store(Regime.SOLD_ANY, store_c=17)),
]
ALLOWED = [
    ("maize", lambda: refusals.check_crop(crop("maize-grain"))),
    ("maize anywhere", lambda: refusals.check_drained(crop("maize-grain"), drained=False)),
    ("rice, drained", lambda: refusals.check_drained(crop("rice-transplanted"), drained=True)),
    ("up at once", lambda: check_dates(emerged_on=PLANTED_ON, first_harvest_on=ENDS_ON)),
    ("nothing reported", check_dates),
    ("sealed at harvest", lambda: refusals.check_sealed(ENDS_ON, first_harvest_on=ENDS_ON)),
    ("first year", lambda: refusals.check_year(date(2000, 1, 1))),
    ("smallest", lambda: refusals.check_area(1)),
    ("largest", lambda: refusals.check_area(10_000)),
    ("no target given", lambda: check_nitrogen(None, 1)),
    ("any target", lambda: check_nitrogen(0.5, 12)),
    ("dry, just enough", lambda: refusals.check_season_water(2, Season.DRY)),
    ("rains, none", lambda: refusals.check_season_water(0, Season.RAINS)),
    ("at the ceiling", lambda: refusals.check_amount(6, share=1)),
    ("at half of it", lambda: refusals.check_amount(3, share=0.5)),
    ("cold, own food", lambda: refusals.check_store(Regime.GENERAL, store_c=17)),
    ("store unknown", lambda: refusals.check_store(Regime.SOLD_ANY, store_c=None)),
]


def refusal_of(check: Callable[[], None]) -> RefusedError | None:
    try:
        check()
    except RefusedError as error:
        return error
    return None


@pytest.mark.parametrize(
    ("code", "check"), [pytest.param(code, check, id=name) for name, code, check in REFUSED]
)
def test_a_request_against_the_rules_is_refused(code: str, check: Callable[[], None]) -> None:
    refused = refusal_of(check)

    assert refused is not None
    assert (refused.code, refused.sentence[-1]) == (code, ".")


@pytest.mark.parametrize("check", [pytest.param(check, id=name) for name, check in ALLOWED])
def test_a_request_within_the_rules_passes(check: Callable[[], None]) -> None:
    assert refusal_of(check) is None
