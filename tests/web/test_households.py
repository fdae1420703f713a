"""The list of households, and the search that leaves no name in an address."""

import pytest
from flask.testing import FlaskClient

from service.records.people import Consent
from tests.web.homes import another_area, bare_home
from tests.web.reading import Fields, faults_of, links_of, post, text_of
from tests.web.tree import parse
from tests.world import World, enrol
from tests.world_facts import consent_said


def listed(html: str) -> list[str]:
    """Return the rows of the list as they are read."""
    return [row.text for row in parse(html).every("tr")][1:]


def found(client: FlaskClient, typed: str) -> str:
    """Return the page of what a search finds."""
    return post(client, "/households/search", "/households", look_for=typed).text


def test_households_stand_by_area_and_code(world: World, client: FlaskClient) -> None:
    east = another_area(world, name="East")
    bare_home(world, code="002", alias="Second")
    bare_home(world, code="001", alias="First")
    bare_home(world, code="009", alias="Far", area_id=east)

    rows = listed(client.get("/households").text)

    assert [row.split(" Area:")[0] for row in rows] == ["009 Far", "001 First", "002 Second"]


@pytest.mark.parametrize(
    ("consent", "state"),
    [
        pytest.param(Consent.GIVEN, "texts on", id="said yes"),
        pytest.param(Consent.VERBAL, "waiting for START", id="asked only"),
        pytest.param(Consent.STOPPED, "stopped", id="said stop"),
        pytest.param(None, "nobody has asked yet", id="not asked"),
    ],
)
def test_the_state_follows_what_the_phone_said(
    world: World, client: FlaskClient, consent: Consent | None, state: str
) -> None:
    enrol(world, consent=consent)

    assert listed(client.get("/households").text)[0].endswith(f" {state}")


def test_a_home_that_cannot_read_needs_a_call(world: World, client: FlaskClient) -> None:
    enrol(world, needs_call=True)

    assert listed(client.get("/households").text)[0].endswith("needs a call")


def test_without_a_plan_the_first_thing_missing_is_named(world: World, client: FlaskClient) -> None:
    bare_home(world)

    assert "no plan yet: a plot" in listed(client.get("/households").text)[0]


def test_a_yes_for_one_home_on_a_phone_is_none_for_the_other(
    world: World, client: FlaskClient
) -> None:
    enrol(world, code="H01")
    enrol(world, code="H02", letter="D", can=2, consent=None)

    first, second = listed(client.get("/households").text)

    assert first.endswith("texts on")
    assert second.endswith("nobody has asked yet")


def test_a_phone_that_answers_again_after_a_stop_gets_texts(
    world: World, client: FlaskClient
) -> None:
    enrolled = enrol(world, consent=Consent.STOPPED)
    consent_said(world, enrolled, Consent.GIVEN)

    assert listed(client.get("/households").text)[0].endswith("texts on")


def test_twenty_five_stand_on_a_page_and_the_rest_on_the_next(
    world: World, client: FlaskClient
) -> None:
    for number in range(1, 28):
        bare_home(world, code=f"{number:03d}")

    first = client.get("/households").text
    second = client.get(links_of(first)["Next"]).text

    assert len(listed(first)) == 25
    assert [row[:3] for row in listed(second)] == ["026", "027"]
    assert "27 households, by area and code" in text_of(first)


def test_a_page_beyond_the_end_shows_the_last_one(world: World, client: FlaskClient) -> None:
    bare_home(world)

    assert len(listed(client.get("/households?page=40").text)) == 1


def test_an_empty_list_leads_to_the_first_enrolment(client: FlaskClient) -> None:
    assert links_of(client.get("/households").text)["Enrol the first household"] == "/enrol"


@pytest.mark.parametrize(
    "typed",
    [
        pytest.param("mlim", id="start of the name, in small letters"),
        pytest.param("01", id="part of the code"),
        pytest.param("north", id="area"),
    ],
)
def test_a_search_finds_by_name_code_and_area(
    world: World, client: FlaskClient, typed: str
) -> None:
    east = another_area(world, name="East")
    bare_home(world, code="001", alias="Mlima")
    bare_home(world, code="777", alias="Bonde", area_id=east)

    assert [row[:9] for row in listed(found(client, typed))] == ["001 Mlima"]


@pytest.mark.parametrize("typed", [pytest.param("%", id="percent"), pytest.param("_", id="line")])
def test_a_sign_that_databases_know_is_searched_as_it_stands(
    world: World, client: FlaskClient, typed: str
) -> None:
    bare_home(world)

    assert "No household fits" in text_of(found(client, typed))


def test_accents_are_found_in_small_letters(world: World, client: FlaskClient) -> None:
    bare_home(world, alias="Élan")

    assert len(listed(found(client, "élan"))) == 1


def test_of_many_that_fit_the_first_are_shown_and_all_are_counted(
    world: World, client: FlaskClient
) -> None:
    for number in range(1, 28):
        bare_home(world, code=f"{number:03d}")

    html = found(client, "test")

    assert len(listed(html)) == 25
    assert "27 households fit. The first 25 are shown" in text_of(html)


def test_a_search_for_nothing_says_what_to_do(world: World, client: FlaskClient) -> None:
    bare_home(world)

    answer = post(client, "/households/search", "/households", look_for=" ")

    assert answer.status_code == 422
    assert "Fill this in." in faults_of(answer.text)


def test_what_was_typed_stays_in_the_field(world: World, client: FlaskClient) -> None:
    bare_home(world)

    fields: Fields = {
        each.get("name"): each.get("value") for each in parse(found(client, "zz")).every("input")
    }

    assert fields["look_for"] == "zz"


def test_a_search_is_never_an_address(world: World, client: FlaskClient) -> None:
    bare_home(world)

    assert client.get("/households/search").status_code == 405
