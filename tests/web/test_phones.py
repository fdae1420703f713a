"""The pretend phones: there while the fake gateway is, and moving the demo's time."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from gateway_adapters.contract import Gateway
from service.config import Profile
from service.records.pretend import move_pretend_clock, pretend_now
from service.web.app import create_app
from tests.web.reading import faults_of, form_of, post, result_of, text_of
from tests.web.staff import SECRET_KEY, Wall, browser_of, visit_token
from tests.world import PHONE, START, ZONE, World, enrol


class Elsewhere:
    """A gateway that is not the fake one; nothing of it is used."""


@pytest.fixture
def demo(world: World, wall: Wall) -> FlaskClient:
    """A browser on the demo, whose time stands in the database."""
    services = world.services
    settings = replace(services.settings, secret_key=SECRET_KEY, profile=Profile.DEMO)

    def pretended() -> object:
        with services.sessions.read() as session:
            return pretend_now(session)

    with services.sessions.begin() as session:
        move_pretend_clock(session, START)
    app = create_app(
        replace(services, settings=settings, clock=pretended),  # type: ignore[arg-type]  # -- set above
        wall=wall.clock,
    )
    return browser_of(app, visit_token(world))


def test_a_phone_shows_its_texts_and_takes_an_answer(world: World, client: FlaskClient) -> None:
    enrolled = enrol(world)
    path = f"/phones/{enrolled.phone_id}"
    world.text("HELP")

    sent = post(client, path, path, text="help please")

    assert sent.status_code == 303
    shown = client.get(path).text
    assert "The text was sent." in result_of(shown)
    assert text_of(shown).index("help please") < text_of(shown).index("HELP")
    assert world.bodies()[-1] in text_of(shown)


def test_an_empty_text_is_not_sent(world: World, client: FlaskClient) -> None:
    enrolled = enrol(world)
    path = f"/phones/{enrolled.phone_id}"

    refused = post(client, path, path, text="")

    assert refused.status_code == 422
    assert "Text to send" in faults_of(refused.text)


def test_the_same_form_twice_sends_one_text(world: World, client: FlaskClient) -> None:
    enrolled = enrol(world)
    path = f"/phones/{enrolled.phone_id}"
    form = form_of(client.get(path).text, path) | {"text": "HELP"}
    before = len(world.bodies())

    client.post(path, data=form)
    again = client.post(path, data=form)

    assert again.status_code == 303
    assert "Already saved at" in result_of(client.get(path).text)
    assert len(world.bodies()) == before + 1


@pytest.mark.parametrize(
    ("number", "advice"),
    [
        pytest.param("+255712000000", "a number of the demo", id="not one of the demo"),
        pytest.param(PHONE, "is enrolled", id="an enrolled one"),
    ],
)
def test_a_stranger_texts_only_from_a_demo_number_that_nobody_has(
    number: str, advice: str, world: World, client: FlaskClient
) -> None:
    enrol(world)

    refused = post(client, "/phones", "/phones", number=number, text="JOIN")

    assert refused.status_code == 422
    assert advice in faults_of(refused.text)
    assert form_of(refused.text, "/phones")["text"] == "JOIN"


def test_a_strangers_text_and_its_answer_are_shown(client: FlaskClient) -> None:
    post(client, "/phones", "/phones", number="+255100000055", text="JOIN")

    shown = text_of(client.get("/phones").text)

    assert "+255100000055" in shown
    assert "JOIN" in shown
    assert "Test Growers" in shown


def test_time_moves_from_evening_to_evening_in_the_demo(demo: FlaskClient, world: World) -> None:
    page = demo.get("/phones").text
    assert "Sat 20 Feb 09:00" in text_of(page)

    post(demo, "/phones/evening", page)
    assert "Sat 20 Feb 19:59" in text_of(demo.get("/phones").text)
    post(demo, "/phones/evening", "/phones")

    assert "Sun 21 Feb 19:59" in text_of(demo.get("/phones").text)
    with world.services.sessions.read() as session:
        now = pretend_now(session)
    assert now is not None
    assert now.astimezone(ZONE).hour == 19


def test_pressing_twice_moves_one_evening(demo: FlaskClient) -> None:
    form = form_of(demo.get("/phones").text, "/phones/evening")

    demo.post("/phones/evening", data=form)
    demo.post("/phones/evening", data=form)

    assert "Sat 20 Feb 19:59" in text_of(demo.get("/phones").text)


def test_in_life_no_button_moves_the_time(client: FlaskClient) -> None:
    page = client.get("/phones").text

    assert "next evening" not in page
    form = form_of(page, "/phones") | {"number": "", "text": ""}
    assert client.post("/phones/evening", data=form).status_code == 404


def test_without_the_fake_gateway_there_are_no_pretend_phones(world: World, wall: Wall) -> None:
    settings = replace(world.services.settings, secret_key=SECRET_KEY)
    real: Gateway = Elsewhere()  # type: ignore[assignment]  # -- never called
    app = create_app(
        replace(world.services, settings=settings, gateways={"main": real}), wall=wall.clock
    )
    browser = browser_of(app, visit_token(world))

    assert browser.get("/phones").status_code == 404
    assert "Pretend phones" not in browser.get("/account").text
