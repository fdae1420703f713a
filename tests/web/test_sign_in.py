"""Signing in: by a one-time link first, then by name, password and a code."""

import re
from dataclasses import replace
from datetime import timedelta

import pyotp
import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.config import Profile
from service.records.staff_queries import staff_named
from service.sign_in.links import make_link
from service.sign_in.staff import add_staff
from service.sign_in.visits import open_visit
from service.web.app import create_app
from tests.web.reading import faults_of, form_of, headings_of, post, text_of
from tests.web.staff import BY, NEEMA, SECRET_KEY, Wall, browser_of, visit_token
from tests.world import START, World

PASSWORD = "green tomato ladder sings"  # noqa: S105 -- opens nothing but a test
TOO_SHORT, MISTAKEN, NEWER = "green tom", "green tomato ladder falls", "seven paper boats sing"
HALF_MINUTE = timedelta(seconds=30)


def a_link(world: World) -> str:
    """Add Neema Test and return the path of her one-time link."""
    with world.services.sessions.begin() as session:
        staff_id = add_staff(session, 1, NEEMA, by=BY, now=START)
        token = make_link(session, 1, staff_id, by=BY, now=START)
    return f"/first-visit/{token}"


def code_for(secret: str, wall: Wall) -> str:
    """Return what a code app shows at the true time."""
    return pyotp.TOTP(secret).at(wall.now)


def secret_on(page: str) -> str:
    """Return the second factor's secret that a page shows, without its blanks."""
    found = re.search(r"[A-Z2-7]{4}(?: [A-Z2-7]{4}){7}", text_of(page))
    assert found is not None
    return found[0].replace(" ", "")


def first_visit(world: World, visitor: FlaskClient, wall: Wall) -> str:
    """Go through the first visit and return the second factor's secret."""
    path = a_link(world)
    page = visitor.get(path).text
    secret = secret_on(page)
    done = post(visitor, path, page, password=PASSWORD, again=PASSWORD, code=code_for(secret, wall))
    assert headings_of(done.text, "h1") == ["Recovery codes"]
    return secret


def test_a_one_time_link_leads_to_a_password_a_second_factor_and_today(
    world: World, visitor: FlaskClient, wall: Wall
) -> None:
    first_visit(world, visitor, wall)

    assert visitor.get("/account").status_code == 200


def test_a_first_visit_keeps_nothing_while_anything_is_wrong(
    world: World, visitor: FlaskClient
) -> None:
    path = a_link(world)

    refused = post(visitor, path, path, password=TOO_SHORT, again="other", code="000000")

    assert refused.status_code == 422
    assert "New password" in faults_of(refused.text)
    assert TOO_SHORT not in refused.text
    with world.services.sessions.read() as session:
        staff = staff_named(session, NEEMA.name)
    assert staff is not None
    assert staff.password_hash is None


def test_a_used_link_says_whom_to_ask(world: World, visitor: FlaskClient, wall: Wall) -> None:
    """OWASP ASVS 5.0, 6.4.1: a link counts once."""
    path = a_link(world)
    page = visitor.get(path).text
    secret = secret_on(page)
    fields = {"password": PASSWORD, "again": PASSWORD, "code": code_for(secret, wall)}
    post(visitor, path, page, **fields)

    again = visitor.get(path)

    assert again.status_code == 410
    assert "Ask an administrator for a new one" in text_of(again.text)


def test_a_new_link_does_not_get_past_the_second_factor(
    app: Flask, world: World, visitor: FlaskClient, wall: Wall
) -> None:
    """OWASP ASVS 5.0, 6.4.3: a new password does not go round the second factor."""
    secret = first_visit(world, visitor, wall)
    with world.services.sessions.begin() as session:
        staff = staff_named(session, NEEMA.name)
        assert staff is not None
        token = make_link(session, 1, staff.id, by=BY, now=START)
    browser = app.test_client()
    path = f"/first-visit/{token}"

    done = post(browser, path, path, password=NEWER, again=NEWER)

    assert (done.status_code, done.location) == (303, "/sign-in")
    assert browser.get("/account").status_code == 303
    wall.now += HALF_MINUTE
    asked = post(browser, "/sign-in", "/sign-in", name="neema", password=NEWER)
    post(browser, "/sign-in/code", asked.text, code=code_for(secret, wall))
    assert browser.get("/account").status_code == 200


def test_two_links_in_one_browser_get_second_factors_of_their_own(
    world: World, visitor: FlaskClient
) -> None:
    first = secret_on(visitor.get(a_link(world)).text)
    with world.services.sessions.begin() as session:
        other = replace(NEEMA, name="juma")
        token = make_link(
            session, 1, add_staff(session, 1, other, by=BY, now=START), by=BY, now=START
        )

    assert secret_on(visitor.get(f"/first-visit/{token}").text) != first


def test_a_link_nobody_made_is_not_there(visitor: FlaskClient) -> None:
    assert visitor.get("/first-visit/abcdefgh").status_code == 404


def test_in_the_demo_the_link_signs_in_at_once(world: World, wall: Wall) -> None:
    path = a_link(world)
    settings = replace(world.services.settings, secret_key=SECRET_KEY, profile=Profile.DEMO)
    app = create_app(replace(world.services, settings=settings), wall=wall.clock)
    browser = app.test_client()

    entered = browser.get(path)

    assert (entered.status_code, entered.location) == (303, "/")
    assert browser.get("/account").status_code == 200
    assert app.test_client().get(path).status_code == 410


def sign_in(browser: FlaskClient, secret: str, wall: Wall, *, next_path: str = "") -> str | None:
    """Sign in by hand and return where that leads."""
    start = browser.get("/sign-in", query_string={"next": next_path}).text
    asked = post(browser, "/sign-in", start, name="Neema", password=PASSWORD)
    assert headings_of(asked.text, "h1") == ["Your code"]
    done = post(browser, "/sign-in/code", asked.text, code=code_for(secret, wall))
    assert done.status_code == 303
    return done.location


def test_name_password_and_code_lead_to_where_the_visitor_was_going(
    app: Flask, world: World, visitor: FlaskClient, wall: Wall
) -> None:
    secret = first_visit(world, visitor, wall)
    browser = app.test_client()
    sent_away = browser.get("/account")
    assert sent_away.status_code == 303
    assert sent_away.location == "/sign-in?next=/account"
    wall.now += HALF_MINUTE

    assert sign_in(browser, secret, wall, next_path="/account") == "/account"
    assert browser.get("/account").status_code == 200


@pytest.mark.parametrize(
    "elsewhere",
    ["//evil.example", "/\\evil.example", "https:evil", "%2f%2fevil", "http://evil.example/"],
)
def test_signing_in_never_leads_to_another_site(
    elsewhere: str, app: Flask, world: World, visitor: FlaskClient, wall: Wall
) -> None:
    secret = first_visit(world, visitor, wall)
    wall.now += HALF_MINUTE

    assert sign_in(app.test_client(), secret, wall, next_path=elsewhere) == "/"


def test_an_unknown_name_and_a_wrong_password_are_answered_alike(
    app: Flask, world: World, visitor: FlaskClient, wall: Wall
) -> None:
    first_visit(world, visitor, wall)

    answers = []
    for name in ("neema", "nobody"):
        browser = app.test_client()
        refused = post(browser, "/sign-in", "/sign-in", name=name, password=MISTAKEN)
        answers.append((refused.status_code, faults_of(refused.text)))
        wall.now += timedelta(minutes=2)

    assert answers[0] == answers[1]
    assert answers[0][0] == 422


def test_many_wrong_passwords_make_the_next_try_wait(
    app: Flask, world: World, visitor: FlaskClient, wall: Wall
) -> None:
    first_visit(world, visitor, wall)
    browser = app.test_client()
    post(browser, "/sign-in", "/sign-in", name="neema", password=MISTAKEN)
    refused = post(browser, "/sign-in", "/sign-in", name="neema", password=MISTAKEN)

    assert refused.status_code == 429
    assert int(refused.headers["Retry-After"]) >= 1


def test_a_code_counts_once(app: Flask, world: World, visitor: FlaskClient, wall: Wall) -> None:
    """RFC 6238, 5.2: a second use of the same one-time password is refused."""
    secret = first_visit(world, visitor, wall)
    browser = app.test_client()
    asked = post(browser, "/sign-in", "/sign-in", name="neema", password=PASSWORD)

    refused = post(browser, "/sign-in/code", asked.text, code=code_for(secret, wall))

    assert refused.status_code == 422
    assert browser.get("/account").status_code == 303


def test_a_chosen_cookie_is_never_adopted(app: Flask, world: World) -> None:
    token = visit_token(world)
    honest, thief = browser_of(app, token), app.test_client()
    thief.set_cookie("__Host-furrowbell", token)

    assert honest.get("/account").status_code == 200
    assert thief.get("/account").status_code == 303


def test_signing_out_ends_the_visit_for_whoever_holds_the_cookie(app: Flask, world: World) -> None:
    token = visit_token(world)
    browser, copy = browser_of(app, token), browser_of(app, token)

    left = post(browser, "/account/sign-out", "/account")

    assert left.status_code == 303
    assert copy.get("/account").status_code == 303


def test_a_visit_can_be_ended_from_another_browser(app: Flask, world: World) -> None:
    first = visit_token(world)
    with world.services.sessions.begin() as session:
        staff = staff_named(session, NEEMA.name)
    assert staff is not None
    with world.services.sessions.begin() as session:
        second = open_visit(session, staff, now=START)
    browser, other = browser_of(app, first), browser_of(app, second)
    assert other.get("/account").status_code == 200
    page = browser.get("/account").text
    action = re.search(r'action="(/account/visits/\d+/end)"', page)
    assert action is not None

    post(browser, action[1], page)

    assert other.get("/account").status_code == 303
    assert browser.get("/account").status_code == 200


def test_a_visit_is_over_after_two_idle_hours(client: FlaskClient, wall: Wall) -> None:
    assert client.get("/account").status_code == 200
    wall.now += timedelta(hours=2)

    assert client.get("/account").status_code == 303


def test_the_pages_language_is_the_coordinators_choice(client: FlaskClient) -> None:
    page = client.get("/account").text
    client.post("/account/language", data=form_of(page, "/account/language") | {"language": "sw"})

    swahili = client.get("/account").text

    assert 'lang="sw"' in swahili
    assert headings_of(swahili, "h1") == ["Akaunti yako"]


def test_what_was_typed_when_the_visit_ended_is_there_after_signing_in(
    world: World, visitor: FlaskClient, wall: Wall
) -> None:
    """OWASP ASVS 5.0 asks for a session's end; nothing typed may be lost by it."""
    secret = first_visit(world, visitor, wall)
    page = visitor.get("/phones").text
    typed = form_of(page, "/phones") | {"number": "+255100000055", "text": "JOIN"}
    wall.now += timedelta(hours=13)

    asked = visitor.post("/phones", data=typed)
    assert asked.status_code == 403
    code = post(visitor, "/sign-in", asked.text, name="neema", password=PASSWORD)
    back = post(visitor, "/sign-in/code", code.text, code=code_for(secret, wall))
    assert headings_of(back.text, "h1") == ["Nothing is lost"]
    assert world.bodies("+255100000055") == []
    shown = post(visitor, "/phones", back.text)

    fields = form_of(shown.text, "/phones")
    assert shown.status_code == 200
    assert (fields["number"], fields["text"]) == ("+255100000055", "JOIN")
    assert world.bodies("+255100000055") == []  # nothing was sent by itself
    assert post(visitor, "/phones", shown.text).status_code == 303
