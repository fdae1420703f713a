"""The menu on a pretend handset: dial, type, hang up; there while the fake gateway is."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from gateway_adapters.contract import Gateway
from service.records.fields import FactKind
from service.web.app import create_app
from tests.web.reading import buttons_of, faults_of, form_of, links_of, post, result_of, text_of
from tests.web.staff import SECRET_KEY, Wall, browser_of, visit_token
from tests.world import Enrolled, World, enrol
from tests.world_looks import calls, facts

PAGE_MOST = 15_000  # bytes


class Elsewhere:
    """A gateway that is not the fake one; nothing of it is used."""


@pytest.fixture
def enrolled(world: World) -> Enrolled:
    """A household whose first dose is due today."""
    made = enrol(world)
    world.tick("2027-03-15T12:00")
    return made


def screen_of(client: FlaskClient, path: str) -> str:
    return text_of(client.get(path).text)


def press(client: FlaskClient, path: str, keys: str) -> None:
    for key in keys.split():
        assert post(client, path, path, keys=key).status_code == 303


def test_the_menu_is_dialled_and_walked(
    world: World, client: FlaskClient, enrolled: Enrolled
) -> None:
    path = f"/phones/{enrolled.phone_id}/handset"
    assert buttons_of(client.get(path).text)[-1] == "Dial the menu"

    post(client, path, path)
    assert "1 My plots" in screen_of(client, path)
    press(client, path, "1 1 1 1")
    assert "A1 done on Mon 15 Mar?" in screen_of(client, path)
    press(client, path, "1")

    shown = screen_of(client, path)
    assert "Noted, thank you: A1 done" in shown
    assert "The menu is closed." in shown
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1


def test_a_blank_shows_the_screen_again(client: FlaskClient, enrolled: Enrolled) -> None:
    path = f"/phones/{enrolled.phone_id}/handset"
    post(client, path, path)

    post(client, path, path, keys="")

    assert "1 My plots" in screen_of(client, path)


def test_a_dropped_line_is_gone_on_with(client: FlaskClient, enrolled: Enrolled) -> None:
    path = f"/phones/{enrolled.phone_id}/handset"
    post(client, path, path)
    press(client, path, "1 1")
    form = form_of(client.get(path).text, path) | {"press": "drop"}

    client.post(path, data=form)
    assert "Dial again within 5 minutes" in result_of(client.get(path).text)
    post(client, path, path)

    assert "You had not finished." in screen_of(client, path)


def test_the_same_form_twice_types_once(client: FlaskClient, enrolled: Enrolled) -> None:
    path = f"/phones/{enrolled.phone_id}/handset"
    post(client, path, path)
    form = form_of(client.get(path).text, path) | {"keys": "1"}

    client.post(path, data=form)
    again = client.post(path, data=form)

    assert again.status_code == 303
    assert "Which plot?" in screen_of(client, path)


def test_typing_without_a_menu_is_refused(client: FlaskClient, enrolled: Enrolled) -> None:
    path = f"/phones/{enrolled.phone_id}/handset"
    form = form_of(client.get(path).text, path) | {"press": "", "keys": "1"}

    refused = client.post(path, data=form)

    assert refused.status_code == 422
    assert "dial it first" in faults_of(refused.text)


def test_a_stranger_may_join_by_menu(world: World, client: FlaskClient, enrolled: Enrolled) -> None:
    del enrolled
    path = "/phones/handset"
    assert "+255100000099" in screen_of(client, path)

    post(client, path, path)
    press(client, path, "1 1")

    assert "has your wish to join" in screen_of(client, path)
    assert len(calls(world)) >= 1


def test_the_pretend_phones_link_to_their_menus(client: FlaskClient, enrolled: Enrolled) -> None:
    one = links_of(client.get(f"/phones/{enrolled.phone_id}").text)
    all_of_them = links_of(client.get("/phones").text)

    assert one["Dial the menu from this phone"] == f"/phones/{enrolled.phone_id}/handset"
    assert all_of_them["Dial the menu from such a phone"] == "/phones/handset"


def test_the_page_is_small(client: FlaskClient, enrolled: Enrolled) -> None:
    path = f"/phones/{enrolled.phone_id}/handset"
    post(client, path, path)
    press(client, path, "1 1")

    assert len(client.get(path).data) <= PAGE_MOST


def test_without_the_fake_gateway_there_is_no_handset(
    world: World, wall: Wall, enrolled: Enrolled
) -> None:
    settings = replace(world.services.settings, secret_key=SECRET_KEY)
    real: Gateway = Elsewhere()  # type: ignore[assignment]  # -- never called
    app = create_app(
        replace(world.services, settings=settings, gateways={"main": real}), wall=wall.clock
    )
    browser = browser_of(app, visit_token(world))

    assert browser.get(f"/phones/{enrolled.phone_id}/handset").status_code == 404
    assert browser.get("/phones/handset").status_code == 404
