"""What a coordinator enters in the place of a table's figure: own values, and warm stores."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.regimes import Regime
from service.records.people import AuditRow
from tests.web.reading import faults_of, post, result_of, text_of
from tests.web.ward_forms import by_the_rules, sent
from tests.world import World, enrol
from tests.world_looks import rows

TRIAL = "trial of the farm school, three plots, 2026"
MAIZE = {"key": "season-days", "value": "110", "crop": "maize-grain", "source": TRIAL}


def test_another_length_of_season_redraws_the_plans_and_stands_with_its_source(
    world: World,
    client: FlaskClient,
) -> None:
    """A19: maize 125 -> 110 days: 2/3 of it is day 73, 27 May, in place of day 83, 6 June."""
    home = by_the_rules(world)
    page = f"/plantings/{home.planting_id}"
    before = text_of(client.get(page).text)

    listed = text_of(sent(client, "/local-values", "/local-values", **MAIZE))
    (entry,) = rows(world, AuditRow)[-1:]

    assert "none after Sunday 6 June 2027." in before
    assert "none after Thursday 27 May 2027." in text_of(client.get(page).text)
    assert (entry.what, entry.subject, entry.who) == ("entered", "local-value", "Neema Test")
    assert (entry.detail["before"]["value"], entry.detail["after"]["value"]) == ("125", "110")
    assert "110 days (local value, by Neema Test," in listed
    assert f"Source: {TRIAL}" in listed
    assert "The table says: 125 days" in listed
    assert "FAO-56, Table 11, maize (grain)" in listed


def test_a_withdrawn_figure_gives_the_table_its_place_back(
    world: World, client: FlaskClient
) -> None:
    """A19: after the withdrawal the cut-off is that of 125 days again."""
    home = by_the_rules(world)
    page = sent(client, "/local-values", "/local-values", **MAIZE)

    after = sent(client, "/local-values/1/withdraw", page)

    planting = text_of(client.get(f"/plantings/{home.planting_id}").text)
    assert "none after Sunday 6 June 2027." in planting
    assert "No local figure yet" in text_of(after)


@pytest.mark.parametrize(
    ("changed", "field", "advice"),
    [
        pytest.param({"source": ""}, "source", "where the figure comes from", id="no source"),
        pytest.param({"value": "9"}, "value", "from 20 to 730", id="too short"),
        pytest.param({"crop": ""}, "crop", "Choose a crop", id="no crop"),
        pytest.param({"key": ""}, "key", "Choose one", id="no figure"),
        pytest.param({"key": "n-kg-ha", "value": "380"}, "value", "bears at most 6", id="ceiling"),
        pytest.param({"key": "pattern", "value": "7, 9"}, "value", "5 days or more", id="too near"),
    ],
)
def test_a_figure_that_cannot_be_meant_is_refused_with_what_to_do(
    client: FlaskClient, changed: dict[str, str], field: str, advice: str
) -> None:
    """A19: a figure without a source, or outside what can be meant, is not taken."""
    answer = post(client, "/local-values", "/local-values", **(MAIZE | changed))

    assert answer.status_code == 422
    assert advice in faults_of(answer.text)
    assert f'href="#{field}"' in answer.text
    assert "No local figure yet" in text_of(answer.text)


def test_the_store_of_an_area_decides_for_crops_that_are_sold(
    world: World, client: FlaskClient
) -> None:
    """A8: sold to anyone, store of the area 17 °C -> not ready, with the reason; 24 °C -> a day."""
    enrol(world, regime=Regime.SOLD_ANY, sealed_on=date(2027, 1, 10))
    world.tick("2027-03-10T12:00")

    cold = sent(client, "/areas/1/store", "/areas/1", store_c="17")
    can = text_of(client.get("/containers/1").text)
    sent(client, "/areas/1/store", "/areas/1", store_c="24")
    warm = text_of(client.get("/containers/1").text)

    assert "The stores of this area have 17 °C." in result_of(cold)
    assert "the store is cold" in can
    assert "Yours is recorded with 17 °C" in can
    assert "Ready day ready on Monday 12 July 2027" in warm


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        pytest.param("-4,5", "-4.5 °C", id="below zero"),
        pytest.param("\u22122", "-2 °C", id="with a true minus"),
        pytest.param("", "As for the whole association: 24 °C.", id="blank"),
    ],
)
def test_a_temperature_is_read_as_people_write_it(
    client: FlaskClient, typed: str, shown: str
) -> None:
    """A8: comma or point, below zero or blank."""
    page = sent(client, "/areas/1/store", "/areas/1", store_c=typed)

    assert shown in text_of(page)


@pytest.mark.parametrize("typed", ["61", "-31", "warm", "1e1", "\u0662\u0660"])
def test_a_temperature_that_no_store_has_is_refused(client: FlaskClient, typed: str) -> None:
    """A8: outside -30 to 60 °C the thermometer was misread."""
    answer = post(client, "/areas/1/store", "/areas/1", store_c=typed)

    assert answer.status_code == 422
    assert "from -30 to 60" in faults_of(answer.text)
