"""What urine is worth in bought fertiliser and in money."""

from decimal import Decimal

import pytest

from service.agronomy.fertiliser import (
    fertiliser_table,
    litres_for_kg,
    load_fertilisers,
    money,
    value_if_covered,
    value_on_surface,
)
from service.agronomy.tables import TableError, table_text


def test_a_hundred_litres_hold_half_a_kilogram_of_nitrogen() -> None:
    """A16: 100 L at 5 g a litre: 0.5 kg N; urea is 46 and CAN 27 percent N (IFA)."""
    value = value_if_covered(100, n_g_per_litre=5)

    assert (value.n_kg, value.bought_n_kg) == (0.5, 0.5)
    assert value.urea_kg == pytest.approx(1.087, abs=0.0005)
    assert value.can_kg == pytest.approx(1.852, abs=0.0005)


def test_urine_left_on_the_ground_replaces_less_of_the_bought_nitrogen() -> None:
    """Martin et al. 2023, abstract: 83 percent. It holds as much, and P and K do not fly off."""
    covered, left = (each(100, n_g_per_litre=5) for each in (value_if_covered, value_on_surface))

    assert left.n_kg == 0.5
    assert left.bought_n_kg == pytest.approx(0.415)
    assert left.urea_kg == pytest.approx(0.902, abs=0.0005)
    assert left.can_kg == pytest.approx(1.537, abs=0.0005)
    assert (left.p_kg, left.k_kg) == (covered.p_kg, covered.k_kg)


def test_phosphorus_and_potassium_are_told_with_their_upper_end() -> None:
    value = value_if_covered(1_000, n_g_per_litre=5)

    assert (value.p_kg, value.high_p_kg) == pytest.approx((0.446, 0.66))
    assert (value.k_kg, value.high_k_kg) == pytest.approx((1.19, 1.83))


def test_no_urine_is_worth_nothing_and_less_than_none_is_refused() -> None:
    assert value_if_covered(0, n_g_per_litre=5).urea_kg == 0
    for litres in (-1.0, float("nan")):
        with pytest.raises(ValueError, match="0 litres up"):
            value_on_surface(litres, n_g_per_litre=5)


def test_a_kilogram_of_urea_is_ninety_two_litres() -> None:
    """A16: at 5 g N a litre."""
    urea = fertiliser_table().products["urea"]

    assert litres_for_kg(urea, 1, n_g_per_litre=5) == pytest.approx(92)


@pytest.mark.parametrize(
    ("kg", "price", "expected"),
    [
        pytest.param(1.087, "1600", "1739.20", id="shillings"),
        pytest.param(0.29, "100", "29.00", id="a weight that is no binary fraction"),
        pytest.param(0.125, "0.1", "0.01", id="rounded to the hundredth"),
        pytest.param(0.05, "0.1", "0.01", id="a half is rounded up"),
        pytest.param(0.0, "1600", "0.00", id="nothing"),
    ],
)
def test_money_is_exact_to_the_hundredth(kg: float, price: str, expected: str) -> None:
    found = money(kg, Decimal(price))

    assert str(found) == expected


@pytest.mark.parametrize(
    ("kg", "price"),
    [(-1.0, "1"), (1.0, "-1"), (float("nan"), "1"), (float("inf"), "1"), (1.0, "Infinity")],
)
def test_a_weight_or_price_that_cannot_be_is_refused(kg: float, price: str) -> None:
    with pytest.raises(ValueError, match="from 0 up"):
        money(kg, Decimal(price))


def test_a_fertiliser_is_added_with_one_table() -> None:
    row = '[npk]\nn_percent = 17\np2o5_percent = 17\nk2o_percent = 17\nsource = "bag"\n'
    text = f'{row}found = "read"\n{table_text("fertiliser.toml")}'

    product = load_fertilisers(text).products["npk"]

    assert product.n_share == pytest.approx(0.17)
    assert product.p_share == pytest.approx(0.07419, abs=1e-5)
    assert product.k_share == pytest.approx(0.14113, abs=1e-5)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param("[urea]", "[carbamide]", "add urea.", id="needed fertiliser"),
        pytest.param("[oxides]", "[rust]", "add oxides.", id="needed figures"),
        pytest.param("n_percent = 46", "", "fertiliser.toml, urea: add n_percent.", id="key"),
    ],
)
def test_a_wrong_table_of_fertilisers_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_fertilisers(table_text("fertiliser.toml").replace(old, new))

    assert refused.value.sentence.endswith(sentence)
