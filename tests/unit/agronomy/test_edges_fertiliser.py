"""What urine is worth where a price or a weight is nothing."""

from decimal import Decimal

import pytest

from service.agronomy.fertiliser import fertiliser_table, litres_for_kg, money


def test_what_costs_nothing_or_weighs_nothing_is_worth_nothing() -> None:
    assert money(12.5, Decimal(0)) == 0
    assert money(0, Decimal("1.20")) == 0


def test_the_litres_that_stand_for_a_bag_hold_its_nitrogen() -> None:
    """50 kg of urea hold 23 kg of nitrogen: 4,600 L at 5 g a litre, none of it lost if covered."""
    urea = fertiliser_table().products["urea"]

    assert litres_for_kg(urea, 50, n_g_per_litre=5) == pytest.approx(4_600)
