"""Rest periods by who eats the crop."""

from datetime import date

import pytest

from service.agronomy.regimes import (
    Regime,
    StoreReason,
    container_ready,
    load_rest_rules,
    ready_on,
    rest_days,
)
from service.agronomy.tables import TableError, table_text

SEALED_ON = date(2027, 1, 31)


@pytest.mark.parametrize(
    ("regime", "days", "ready"),
    [
        pytest.param(Regime.OWN_HOUSEHOLD, 14, date(2027, 2, 14), id="own household"),
        pytest.param(Regime.GENERAL, 30, date(2027, 3, 2), id="general"),
        pytest.param(Regime.SOLD_PROCESSED, 30, date(2027, 3, 2), id="sold processed"),
        pytest.param(Regime.SOLD_ANY, 183, date(2027, 8, 2), id="sold to anybody"),
    ],
)
def test_a_regime_sets_the_rest(regime: Regime, days: int, ready: date) -> None:
    assert rest_days(regime) == days
    assert ready_on(SEALED_ON, regime=regime) == ready


@pytest.mark.parametrize("regime", Regime)
def test_a_flag_for_longer_rest_means_six_months_for_all(regime: Regime) -> None:
    assert rest_days(regime, longer_rest=True) == 183


@pytest.mark.parametrize(
    ("regime", "longer_rest", "store_c", "reason"),
    [
        pytest.param(Regime.SOLD_ANY, False, None, StoreReason.STORE_UNKNOWN, id="sold, unknown"),
        pytest.param(Regime.SOLD_ANY, False, 19.9, StoreReason.COLD_STORE, id="sold, cold"),
        pytest.param(Regime.SOLD_ANY, False, float("nan"), StoreReason.COLD_STORE, id="no number"),
        pytest.param(Regime.GENERAL, True, None, StoreReason.STORE_UNKNOWN, id="longer, unknown"),
        pytest.param(Regime.GENERAL, True, 12, StoreReason.COLD_STORE, id="longer, cold"),
    ],
)
def test_six_months_count_only_in_a_store_known_to_be_warm(
    regime: Regime, *, longer_rest: bool, store_c: float | None, reason: StoreReason
) -> None:
    readiness = container_ready(SEALED_ON, regime=regime, longer_rest=longer_rest, store_c=store_c)

    assert (readiness.ready_on, readiness.reason) == (None, reason)


@pytest.mark.parametrize(
    ("regime", "longer_rest", "store_c", "ready"),
    [
        pytest.param(Regime.SOLD_ANY, False, 20, date(2027, 8, 2), id="sold, just warm"),
        pytest.param(Regime.GENERAL, True, 24, date(2027, 8, 2), id="longer rest, warm"),
        pytest.param(Regime.GENERAL, False, None, date(2027, 3, 2), id="general, unknown"),
        pytest.param(Regime.SOLD_PROCESSED, False, 12, date(2027, 3, 2), id="processed, cold"),
    ],
)
def test_a_container_becomes_ready(
    regime: Regime, *, longer_rest: bool, store_c: float | None, ready: date
) -> None:
    readiness = container_ready(SEALED_ON, regime=regime, longer_rest=longer_rest, store_c=store_c)

    assert (readiness.ready_on, readiness.reason) == (ready, None)


def test_a_table_without_a_regime_stops_the_load() -> None:
    text = table_text("regimes.toml").replace("[sold-any]", "[sold-some]")

    with pytest.raises(TableError, match=r"missing or not known: sold-any, sold-some\."):
        load_rest_rules(text)
