"""Amounts, nitrogen and rest periods against published figures."""

import json

import pytest
from click.testing import CliRunner

from service.agronomy.dosing import is_over, litres_per_m2, n_kg_per_ha
from service.agronomy.regimes import Regime, rest_rule, rest_rules
from service.agronomy.rules import rules
from service.cli.plan import plan_command

M2_PER_HA = 10_000
HA_PER_ACRE = 0.404686


@pytest.mark.parametrize(
    ("kg_per_ha", "litres_a_hectare", "litres_a_m2"),
    [
        pytest.param(45, 6_500, 0.6, id="low"),
        pytest.param(100, 14_300, 1.4, id="medium"),
        pytest.param(160, 23_000, 2.3, id="high"),
    ],
)
def test_litres_for_a_target(kg_per_ha: float, litres_a_hectare: float, litres_a_m2: float) -> None:
    """Leaflet "Urine fertilisation", dose table at 7 g N a litre; it rounds by up to 2 percent."""
    found = litres_per_m2(n_kg_per_ha=kg_per_ha, n_g_per_litre=7)

    assert found * M2_PER_HA == pytest.approx(litres_a_hectare, rel=0.02)
    assert found == pytest.approx(litres_a_m2, abs=0.05)


def test_a_kilogram_of_nitrogen_takes_almost_150_litres() -> None:
    """The same leaflet: one kg of nitrogen is about 2 kg of urea or almost 150 L of urine."""
    litres = litres_per_m2(n_kg_per_ha=1, n_g_per_litre=7) * M2_PER_HA

    assert 140 < litres < 150


def test_one_person_serves_three_to_four_hundred_square_metres_a_year() -> None:
    """Joensson et al. 2004, abstract: 300 to 400 square metres a person and year.

    At 1.5 L a person and day (WHO 2006 via SSWM: 0.8 to 1.5).
    """
    area_m2 = 365 * 1.5 / rules().litres_per_m2

    assert 300 <= area_m2 <= 400


def test_one_persons_nitrogen_on_a_square_metre() -> None:
    """Joensson et al. 2004, Table 1 (from memory): 550 kg urine and 4.0 kg nitrogen a year.

    One person's day a square metre is then 110 kg nitrogen a hectare.
    """
    n_g_per_litre = 4_000 / 550

    kg_per_ha = n_kg_per_ha(litres_per_m2=rules().litres_per_m2, n_g_per_litre=n_g_per_litre)

    assert kg_per_ha == pytest.approx(110, rel=0.02)


def test_the_usual_content_fits_an_east_african_diet() -> None:
    """QSDsan 1.4.3, `_excretion.tsv` (FAOSTAT 2013): six figures of one food balance.

    Protein 40.29 and 12.39 g a day, 0.13 N in protein, 0.88 of it in urine, 1.4 L a day.
    """
    g_per_litre = (40.29 + 12.39) * 0.13 * 0.88 / 1.4

    assert g_per_litre * 1.4 * 365 / 1_000 == pytest.approx(2.20, abs=0.005)
    assert rules().low_g_per_litre < g_per_litre < rules().high_g_per_litre
    assert rules().usual_g_per_litre == pytest.approx(g_per_litre, rel=0.2)


def test_the_band_is_the_published_one() -> None:
    """Joensson et al. 2004, abstract: 3 to 7 g a litre if not analysed."""
    assert (rules().low_g_per_litre, rules().high_g_per_litre) == (3, 7)


def test_the_ceiling_is_four_times_the_usual_amount() -> None:
    """Joensson et al. 2004, abstract: toxic from at least 4 times the rule-of-thumb dose."""
    assert rules().refuse_litres_per_m2 == 4 * rules().litres_per_m2


@pytest.mark.parametrize(
    ("litres_a_time", "kg_per_ha", "warned"),
    [
        pytest.param((1.8, 2.0), (80, 89), False, id="nakati, 10 percent"),
        pytest.param((4.6, 6.0), (204, 267), True, id="maize, 30 percent"),
    ],
)
def test_a_published_weekly_schedule(
    litres_a_time: tuple[float, float], kg_per_ha: tuple[float, float], *, warned: bool
) -> None:
    """Semalulu et al. 2011, abstract: 20 L of mix a bed of 9 square metres, 8 weekly times.

    Litres of urine worked out from it; at 5 g a litre. Maize there is above our warning.
    """
    for litres, expected in zip(litres_a_time, kg_per_ha, strict=True):
        spread = litres * 8 / 9

        assert n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=5) == pytest.approx(expected, abs=1)
        assert is_over(spread, rules().warn_litres_per_m2) is warned
        assert not is_over(spread, rules().refuse_litres_per_m2)


@pytest.mark.parametrize(
    ("kg_per_acre", "litres"),
    [pytest.param(32.9, 1.63, id="CAN of 26"), pytest.param(33.8, 1.67, id="CAN of 27")],
)
def test_a_national_maize_recommendation(kg_per_acre: float, litres: float) -> None:
    """KALRO, maize guide: 50 kg DAP and 92 kg CAN an acre, 81 to 84 kg nitrogen a hectare."""
    target = str(kg_per_acre / HA_PER_ACRE)
    asked = ["--crop", "maize-grain", "--planted", "2027-03-15", "--n-kg-ha", target]

    result = CliRunner().invoke(plan_command, [*asked, "--format", "json"])

    answer = json.loads(result.stdout)
    assert 81 <= answer["n_kg_per_ha"] <= 84
    assert answer["litres_per_m2"] == pytest.approx(litres, abs=0.006)


def test_a_very_high_target_in_weak_urine_is_refused() -> None:
    """A South African growers' page: 2.5 kg nitrogen a tonne of tomatoes, 100 t a hectare.

    At 3 g a litre that is 8.3 L a square metre.
    """
    asked = ["--crop", "tomato", "--planted", "2027-03-15", "--n-kg-ha", "250", "--n-g-l", "3"]

    result = CliRunner().invoke(plan_command, [*asked, "--format", "json"])

    assert (result.exit_code, json.loads(result.stdout)["refused"]) == (2, "over-ceiling")


GUIDELINE_DAYS = {
    "own-household": 30,
    "general": 30,
    "sold-processed": 30,
    "sold-any": 183,
    "longer-rest": 183,
}


@pytest.mark.parametrize("name", rest_rules())
def test_no_rest_is_shorter_than_the_guideline_unless_labelled(name: str) -> None:
    """WHO 2006, vol. 4, storage table (from memory): one month processed, six months for all.

    For one's own household the guideline asks no storage; SSWM names a month for any use.
    """
    rule = rest_rules()[name]

    assert rule.common_practice or rule.rest_days >= GUIDELINE_DAYS[name]


def test_only_the_two_weeks_are_labelled_common_practice() -> None:
    """Common practice, told in a CTA Spore item: rest about two weeks."""
    assert [name for name, rule in rest_rules().items() if rule.common_practice] == [
        "own-household"
    ]
    assert rest_rule(Regime.OWN_HOUSEHOLD).rest_days == 14


def test_six_months_are_asked_for_only_with_a_warm_store() -> None:
    """WHO 2006, vol. 4, storage table: six months at 20 degrees for all crops."""
    assert rules().least_store_celsius == 20
    assert all(rule.needs_warm_store == (rule.rest_days == 183) for rule in rest_rules().values())
