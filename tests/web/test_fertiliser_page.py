"""What urine is worth, on a page of its own and beside the season."""

import pytest
from flask.testing import FlaskClient

from tests.web.reading import faults_of, headings_of, links_of, text_of
from tests.web.tree import parse
from tests.world import World, enrol


def worth(client: FlaskClient, **asked: str) -> str:
    """Return what the page says to a question."""
    return text_of(client.get("/fertiliser", query_string=asked).text)


def test_without_a_question_the_page_asks_one(client: FlaskClient) -> None:
    html = client.get("/fertiliser").text

    assert client.get("/fertiliser").status_code == 200
    assert "Blank: 5. It differs from about 3 to 7." in text_of(html)
    assert not [each for each in headings_of(html, "h2") if "nitrogen in a litre" in each]
    ticked = [each.get("value") for each in parse(html).every("input") if each.has("checked")]
    assert ticked == ["covered"]


def test_urine_left_on_the_ground_stands_for_less_urea(client: FlaskClient) -> None:
    """0.83 of 0.5 kg N is 0.415 kg, as 0.902 kg of urea with 46 in a hundred hold."""
    shown = worth(client, litres="100", how="surface")

    assert "Nitrogen (N) 0.5 kg" in shown
    assert "As urea 0.9 kg" in shown


def test_kilograms_of_nitrogen_are_turned_into_litres(client: FlaskClient) -> None:
    """1 kg of nitrogen at 4 g a litre stands in 250 L."""
    shown = worth(client, n_kg="1", g_per_litre="4")

    assert "250 L with 4 g of nitrogen in a litre" in shown
    assert "As urea 2.17 kg or 3.7 kg of CAN, not both" in shown


def test_phosphorus_and_potassium_are_told_for_two_diets(client: FlaskClient) -> None:
    """1000 L hold 0.446 kg P and 1.19 kg K here, 0.66 and 1.83 kg by a Swedish diet."""
    shown = worth(client, litres="1000")

    assert "Phosphorus (P) 0.45 kg (up to 0.66 kg by a rich diet)" in shown
    assert "Potassium (K) 1.19 kg (up to 1.83 kg by a rich diet)" in shown


def test_without_a_price_no_money_is_named(client: FlaskClient) -> None:
    assert "Money" not in worth(client, litres="100")


@pytest.mark.parametrize(
    "asked",
    [
        pytest.param({"litres": "100", "n_kg": "1"}, id="litres and nitrogen"),
        pytest.param({"price": "2000"}, id="neither"),
        pytest.param({"litres": "100", "g_per_litre": "77"}, id="too strong"),
        pytest.param({"litres": "a lot"}, id="no number"),
        pytest.param({"litres": "100", "how": "by air"}, id="no such way"),
    ],
)
def test_what_cannot_be_worked_out_is_kept_and_explained(
    client: FlaskClient, asked: dict[str, str]
) -> None:
    answer = client.get("/fertiliser", query_string=asked)

    assert answer.status_code == 422
    assert "Mend this first" in faults_of(answer.text)
    typed = {each.get("name"): each.get("value") for each in parse(answer.text).every("input")}
    assert typed.items() >= {name: value for name, value in asked.items() if name != "how"}.items()


def test_the_areas_lead_to_what_urine_is_worth(client: FlaskClient) -> None:
    links = links_of(client.get("/areas").text)

    assert links["What urine is worth as fertiliser"] == "/fertiliser"


@pytest.mark.parametrize(
    ("area_m2", "litres"),
    [pytest.param(100, "150 L", id="whole"), pytest.param(3, "4.5 L", id="half a litre")],
)
def test_a_planting_leads_to_what_its_litres_are_worth(
    world: World, client: FlaskClient, area_m2: float, litres: str
) -> None:
    """1.5 L a square metre: 150 L on 100 m², 4.5 L on 3 m²."""
    home = enrol(world, area_m2=area_m2)
    world.tick("2027-03-14T18:00")

    path = links_of(client.get(f"/plantings/{home.planting_id}").text)["What it is worth"]

    assert f"{litres} with 5 g of nitrogen in a litre" in text_of(client.get(path).text)


def test_the_season_names_no_money_until_a_price_is_typed(
    world: World, client: FlaskClient
) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    html = client.get("/season").text

    assert "Doses told as done: 21 L, which stand for 0.23 kg of urea." in text_of(html)
    assert "for a kilogram that is" not in text_of(html)
    assert links_of(html)["How it is worked out"] == "/fertiliser#sources"


def test_a_price_that_is_no_number_is_asked_again(world: World, client: FlaskClient) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")

    answer = client.get("/season", query_string={"price": "cheap"})

    assert answer.status_code == 422
    assert "Write a number from 0 to 1,000,000." in text_of(answer.text)
    assert [each.get("value") for each in parse(answer.text).every("input")] == ["cheap"]
