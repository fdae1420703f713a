"""Which local figure stands where several could."""

from dataclasses import replace

import pytest

from service.agronomy.crops import crop
from service.agronomy.local import LocalFigures, LocalKey, LocalValue, local_figures
from service.agronomy.rules import rules
from service.agronomy.season import Soil
from service.agronomy.tables import Found, Origin

MAIZE, TOMATO = crop("maize-grain"), crop("tomato")
ANY = LocalValue(key=LocalKey.SEASON_DAYS, value="100", source="For all")


def figures(*values: LocalValue, area_id: int | None = 1, soil: Soil = Soil.SALTY) -> LocalFigures:
    return local_figures(MAIZE, area_id=area_id, soil=soil, values=values)


def of(value: str, **where: object) -> LocalValue:
    return replace(ANY, value=value, **where)  # type: ignore[arg-type]  # -- one of several fields


def test_without_a_local_figure_the_tables_hold() -> None:
    found = figures()

    assert found.crop is MAIZE
    assert found.after_emergence_days == rules().after_emergence_days
    assert (found.litres_per_m2, found.n_kg_per_ha) == (rules().litres_per_m2, None)
    assert found.n_g_per_litre == rules().usual_g_per_litre
    origins = rules().origins
    assert (found.pattern_origin, found.amount_origin, found.nitrogen_origin) == (
        origins["pattern"],
        origins["amount"],
        origins["nitrogen"],
    )


@pytest.mark.parametrize(
    ("sooner", "later"),
    [
        pytest.param(of("90"), of("95"), id="the one entered last"),
        pytest.param(of("90"), of("95", soil=Soil.SALTY), id="one for the soil"),
        pytest.param(of("90", soil=Soil.SALTY), of("95", crop=MAIZE.id), id="one for the crop"),
        pytest.param(
            of("90", crop=MAIZE.id, soil=Soil.SALTY), of("95", area_id=1), id="one for the area"
        ),
    ],
)
def test_the_more_particular_figure_holds(sooner: LocalValue, later: LocalValue) -> None:
    assert figures(sooner, later).crop.season_days == 95


def test_of_two_figures_the_more_particular_holds_in_whatever_order_they_came() -> None:
    assert figures(of("95", area_id=1), of("90", crop=MAIZE.id)).crop.season_days == 95
    assert figures(of("95", crop=MAIZE.id), of("90", soil=Soil.SALTY)).crop.season_days == 95
    assert figures(of("95", soil=Soil.SALTY), of("90")).crop.season_days == 95


@pytest.mark.parametrize(
    "elsewhere",
    [
        pytest.param(of("90", area_id=2), id="another area"),
        pytest.param(of("90", crop="tomato"), id="another crop"),
        pytest.param(of("90", soil=Soil.DRY), id="another soil"),
        pytest.param(of("90", area_id=1, crop="tomato", soil=Soil.SALTY), id="one of three"),
    ],
)
def test_a_figure_for_elsewhere_does_not_hold(elsewhere: LocalValue) -> None:
    assert figures(elsewhere).crop is MAIZE


def test_each_figure_carries_its_own_source() -> None:
    """60 kg a hectare at 6 g a litre are 1 L a square metre."""
    found = figures(
        LocalValue(key=LocalKey.N_KG_PER_HA, value="60", source="Office"),
        LocalValue(key=LocalKey.N_G_PER_LITRE, value="6", source="Laboratory"),
        LocalValue(key=LocalKey.PATTERN, value="7,21", source="Ward"),
    )

    assert (found.litres_per_m2, found.n_kg_per_ha, found.n_g_per_litre) == (1, 60, 6)
    assert found.after_emergence_days == (7, 21)
    assert found.amount_origin == Origin(source="Office", found=Found.LOCAL)
    assert found.nitrogen_origin == Origin(source="Laboratory", found=Found.LOCAL)
    assert found.pattern_origin == Origin(source="Ward", found=Found.LOCAL)
    assert found.crop is MAIZE


def test_a_crop_harvested_once_is_ripe_when_its_local_season_ends() -> None:
    found = figures(ANY).crop

    assert (found.season_days, found.first_harvest_days) == (100, 100)
    assert found.origins["season"] == Origin(source="For all", found=Found.LOCAL)
    assert found.origins["emergence"] == MAIZE.origins["emergence"]


@pytest.mark.parametrize(("season_days", "first_days"), [("50", 50), ("300", 70)])
def test_a_crop_picked_again_and_again_is_not_picked_after_its_local_season(
    season_days: str, first_days: int
) -> None:
    found = local_figures(TOMATO, area_id=None, soil=Soil.NORMAL, values=[of(season_days)])

    assert TOMATO.first_harvest_days == 70
    assert found.crop.first_harvest_days == first_days
