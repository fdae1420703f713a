"""Urine in bought fertiliser, against a table worked out apart from this code."""

import pytest

from service.agronomy.fertiliser import (
    fertiliser_table,
    litres_for_kg,
    value_if_covered,
    value_on_surface,
)
from service.agronomy.tables import Found

N_G_PER_LITRE = (3, 4.3, 5, 7)
IFA_PERCENT = {
    "urea": (46, 0, 0),
    "can": (27, 0, 0),
    "ammonium-nitrate": (33.5, 0, 0),
    "ammonium-sulphate": (21, 0, 0),
    "dap": (18, 46, 0),
    "map": (11, 52, 0),
    "tsp": (0, 46, 0),
    "potassium-chloride": (0, 0, 60),
}


@pytest.mark.parametrize(
    ("product_id", "kg", "litres"),
    [
        pytest.param("urea", 1, (153, 107, 92, 65.7), id="a kg of urea"),
        pytest.param("urea", 50, (7_667, 5_349, 4_600, 3_286), id="a bag of urea"),
        pytest.param("dap", 1, (60, 41.9, 36, 25.7), id="a kg of DAP, its nitrogen alone"),
        pytest.param("can", 1, (90, 62.8, 54, 38.6), id="a kg of CAN"),
    ],
)
def test_litres_that_stand_for_a_fertiliser(
    product_id: str, kg: float, litres: tuple[float, ...]
) -> None:
    """IFA, conversion factors, for the contents; the litres worked out apart from this code."""
    product = fertiliser_table().products[product_id]

    found = [litres_for_kg(product, kg, n_g_per_litre=n_g) for n_g in N_G_PER_LITRE]

    assert found == pytest.approx(litres, rel=0.004)  # the table has three figures


@pytest.mark.parametrize(("n_g", "litres"), [(3, 333), (4.3, 233), (5, 200), (7, 143)])
def test_litres_that_hold_a_kilogram_of_nitrogen(n_g: float, litres: float) -> None:
    """Worked out apart from this code: 1,000 g over the content."""
    assert value_if_covered(litres, n_g_per_litre=n_g).n_kg == pytest.approx(1, rel=0.003)


def test_a_can_of_twenty_litres() -> None:
    """Worked out apart from this code: 100 g N, 217 g urea, 13 m2 at 75 kg a hectare."""
    value = value_if_covered(20, n_g_per_litre=5)

    assert value.n_kg == pytest.approx(0.100)
    assert value.urea_kg == pytest.approx(0.217, abs=0.0005)
    assert value.n_kg / 75 * 10_000 == pytest.approx(13, abs=0.5)


@pytest.mark.parametrize("product_id", IFA_PERCENT)
def test_contents_are_those_of_the_trade(product_id: str) -> None:
    """IFA, conversion factors; P is 0.4364 of P2O5 and K 0.8302 of K2O."""
    n, p2o5, k2o = IFA_PERCENT[product_id]

    product = fertiliser_table().products[product_id]

    assert (product.n_share, product.p_share, product.k_share) == pytest.approx(
        (n / 100, p2o5 * 0.4364 / 100, k2o * 0.8302 / 100)
    )
    assert product.origin.found is Found.READ


def test_every_fertiliser_is_checked() -> None:
    assert set(fertiliser_table().products) == set(IFA_PERCENT)


def test_oxides_fit_their_atoms() -> None:
    """Atomic weights (from memory): P 30.974, K 39.098, O 15.999."""
    p_in_p2o5 = 2 * 30.974 / (2 * 30.974 + 5 * 15.999)
    k_in_k2o = 2 * 39.098 / (2 * 39.098 + 15.999)
    products = fertiliser_table().products

    assert products["tsp"].p_share / 0.46 == pytest.approx(p_in_p2o5, abs=0.0001)
    assert products["potassium-chloride"].k_share / 0.60 == pytest.approx(k_in_k2o, abs=0.0002)


def test_a_litre_in_triple_superphosphate() -> None:
    """At 0.45 g P a litre, 1 L is about 2.2 g TSP; worked out apart from this code."""
    p_g = value_if_covered(1, n_g_per_litre=5).p_kg * 1_000

    assert p_g == pytest.approx(0.45, abs=0.01)
    assert p_g / fertiliser_table().products["tsp"].p_share == pytest.approx(2.2, abs=0.05)


def test_urine_replaces_less_when_it_is_left_on_the_ground() -> None:
    """Martin et al. 2023, abstract: worth 83 percent of ammonium nitrate's nitrogen, 5 trials."""
    covered, left = (each(100, n_g_per_litre=5) for each in (value_if_covered, value_on_surface))

    assert left.urea_kg / covered.urea_kg == pytest.approx(0.83)


def test_the_band_of_phosphorus_and_potassium_is_that_of_two_diets() -> None:
    """Joensson et al. 2004, Table 1 (from memory), Sweden: 0.36 kg P and 1.0 kg K in 547.5 L."""
    value = value_if_covered(547.5, n_g_per_litre=5)

    assert (value.high_p_kg, value.high_k_kg) == pytest.approx((0.36, 1.0), rel=0.005)
