"""What a hostile or broken request meets, on every kind of answer (OWASP ASVS 5.0)."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.records.people import HouseholdRow
from service.web.headers import HEADERS
from service.web.style import DIGEST
from tests.web.addresses import asks_of, rules
from tests.web.neighbours import dump_of
from tests.web.reading import form_of, headings_of, post, result_of, text_of
from tests.web.staff import NEEMA, browser_of, visit_token
from tests.world import World, enrol
from tests.world_looks import rows

ODD_NAME = "<b>\"'&"


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/households", 200),
        ("/sign-in", 200),
        (f"/furrow-{DIGEST}.css", 200),
        ("/nowhere", 404),
        ("/households/search", 405),
        ("/households/1?page=1", 404),
    ],
)
def test_every_kind_of_answer_has_the_headers(path: str, status: int, client: FlaskClient) -> None:
    """ASVS 3.4.3 to 3.4.8."""
    answer = client.get(path)

    assert answer.status_code == status
    assert {name: answer.headers.get(name) for name in HEADERS} == HEADERS
    assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
    assert "unsafe" not in answer.headers["Content-Security-Policy"]


def test_a_redirect_has_the_headers_too(visitor: FlaskClient) -> None:
    """ASVS 3.4.3 to 3.4.8."""
    answer = visitor.get("/households")

    assert answer.status_code == 303
    assert HEADERS.items() <= dict(answer.headers).items()


def test_pages_are_not_kept_by_a_browser_and_the_style_sheet_is(client: FlaskClient) -> None:
    """ASVS 14.3.2: no page from the cache after signing out."""
    assert client.get("/households").headers["Cache-Control"] == "no-store"
    assert "immutable" in client.get(f"/furrow-{DIGEST}.css").headers["Cache-Control"]


def test_the_cookie_is_for_this_host_alone_and_for_no_script(visitor: FlaskClient) -> None:
    """ASVS 3.3.1 to 3.3.4."""
    cookie = visitor.get("/sign-in").headers["Set-Cookie"]

    assert cookie.startswith("__Host-")
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= set(cookie.split("; "))
    assert "Domain" not in cookie


@pytest.mark.parametrize("method", ["TRACE", "PUT", "DELETE", "PATCH"])
def test_methods_that_nobody_needs_are_refused(method: str, client: FlaskClient) -> None:
    """ASVS 4.1.4."""
    assert client.open("/households", method=method).status_code == 405


def test_a_header_cannot_change_the_method(client: FlaskClient, world: World) -> None:
    """ASVS 4.1.4."""
    home = enrol(world).household_id

    answer = client.get(f"/households/{home}/stop", headers={"X-HTTP-Method-Override": "POST"})

    assert answer.status_code == 200
    assert "They" in text_of(answer.text) or "texts" in text_of(answer.text)


def test_another_host_is_refused(client: FlaskClient) -> None:
    """ASVS 4.1.3: a link made from a foreign host would lead there."""
    assert client.get("/households", headers={"Host": "evil.example"}).status_code == 400


@pytest.mark.parametrize(
    "odd", ["0", "-1", "1e3", "\uff11", "1%00", "..%2f1", "9" * 40, "01", "1.0", "%20"]
)
def test_an_odd_id_is_no_page(odd: str, client: FlaskClient, world: World) -> None:
    enrol(world)

    assert client.get(f"/households/{odd}").status_code == 404


@pytest.mark.parametrize("rule", rules("POST"), ids=lambda rule: str(rule.rule))
def test_a_form_without_its_mark_changes_nothing(rule: object, world: World, app: Flask) -> None:
    """ASVS 3.5.1: forged forms; asked of every address that takes a form."""
    enrol(world)
    world.text("what is this about A2?")
    client = browser_of(app, visit_token(world))
    asked = _posts(world, rule)
    before = dump_of(world, 1)

    for ask in asked:
        answer = client.post(ask, data={"name": "x"})
        assert answer.status_code in (400, 404), ask

    assert dump_of(world, 1) == before


def _posts(world: World, rule: object) -> list[str]:
    try:
        return [ask.path for ask in asks_of(world, rule, "POST")]  # type: ignore[arg-type]  # -- a rule
    except AssertionError:  # the small association has nothing of that kind
        return []


def test_a_foreign_or_missing_mark_keeps_what_was_typed(client: FlaskClient) -> None:
    """ASVS 3.5.1; nothing that a coordinator typed is lost by it."""
    typed = form_of(client.get("/enrol").text, "/enrol") | {"alias": "Mti Test", "area_id": "1"}

    refused = client.post("/enrol", data=typed | {"csrf_token": "from elsewhere"})
    assert refused.status_code == 400
    assert headings_of(refused.text, "h1") == ["Nothing is lost"]
    shown = post(client, "/enrol", refused.text)
    assert form_of(shown.text, "/enrol")["alias"] == "Mti Test"

    saved = post(client, "/enrol", shown.text)
    assert saved.status_code == 303


def test_another_visits_mark_is_no_good(client: FlaskClient, app: Flask, world: World) -> None:
    """ASVS 3.5.1: the mark belongs to the visit."""
    other = visit_token(
        world, NEEMA.__class__(name="juma", shown="Juma", role=NEEMA.role, language="en")
    )
    theirs = form_of(browser_of(app, other).get("/enrol").text, "/enrol")
    typed = form_of(client.get("/enrol").text, "/enrol") | {"alias": "Mti", "area_id": "1"}

    refused = client.post("/enrol", data=typed | {"csrf_token": theirs["csrf_token"]})

    assert refused.status_code == 400
    assert rows(world, HouseholdRow) == []


@pytest.mark.parametrize(("site", "status"), [("cross-site", 403), ("same-origin", 303)])
def test_a_form_sent_by_another_sites_page_is_refused(
    site: str, status: int, client: FlaskClient
) -> None:
    """ASVS 3.5.3: the browser says where a form came from."""
    typed = form_of(client.get("/enrol").text, "/enrol") | {"alias": "Mti", "area_id": "1"}

    answer = client.post("/enrol", data=typed, headers={"Sec-Fetch-Site": site})

    assert answer.status_code == status


def test_a_failure_of_ours_is_a_plain_page_with_a_mark_and_no_inside(app: Flask) -> None:
    """ASVS 16.5.1."""

    def fail() -> str:
        raise RuntimeError("what nobody should read")

    app.add_url_rule("/sign-in/fail", "sign_in.fail", fail)
    answer = app.test_client().get("/sign-in/fail")

    assert answer.status_code == 500
    assert HEADERS.items() <= dict(answer.headers).items()
    assert "nothing was changed" in text_of(answer.text)
    assert "nobody should read" not in answer.text


def test_records_that_cannot_be_reached_are_said_plainly_and_the_form_is_kept(
    client: FlaskClient, world: World
) -> None:
    """ASVS 16.5.2: a part that fails does not take the sentence about it down too."""
    typed = form_of(client.get("/enrol").text, "/enrol") | {"alias": "Mti Test", "area_id": "1"}
    with world.services.sessions.engine.begin() as connection:
        for table in ("call_task", "household"):
            connection.exec_driver_sql(f"ALTER TABLE {table} RENAME TO {table}_away")

    looked, sent = client.get("/"), client.post("/enrol", data=typed)

    assert (looked.status_code, sent.status_code) == (503, 503)
    assert "cannot be reached just now" in text_of(looked.text)
    assert form_of(sent.text, "/enrol")["alias"] == "Mti Test"


def test_a_field_that_stands_twice_is_refused(client: FlaskClient) -> None:
    """ASVS 15.3.7."""
    typed = form_of(client.get("/enrol").text, "/enrol")

    answer = client.post("/enrol", data=typed | {"area_id": ["1", "2"]})

    assert answer.status_code == 400


def test_fields_that_no_form_has_change_nothing(client: FlaskClient, world: World) -> None:
    """ASVS 15.3.3."""
    typed = form_of(client.get("/enrol").text, "/enrol") | {"alias": "Mti", "area_id": "1"}

    client.post("/enrol", data=typed | {"role": "admin", "association_id": "2", "id": "7"})

    (row,) = rows(world, HouseholdRow)
    assert (row.association_id, row.id) == (1, 1)


def test_a_name_of_marks_is_shown_as_it_was_typed(client: FlaskClient) -> None:
    """ASVS 1.2.1: output is escaped for its place."""
    saved = post(client, "/enrol", "/enrol", alias=ODD_NAME, area_id="1")

    for path in (saved.location or "", "/households"):
        html = client.get(path).text
        assert '<b>"' not in html
        assert ODD_NAME in text_of(html)
        assert ODD_NAME in result_of(html) or path == "/households"


def test_a_form_of_megabytes_is_refused_with_a_sentence(client: FlaskClient) -> None:
    answer = client.post("/enrol", data={"alias": "a" * 1_500_000})

    assert answer.status_code == 413
    assert "too large" in text_of(answer.text)


@pytest.mark.parametrize("path", ["/.git/config", "/static/app.py", "/metrics", "/console"])
def test_nothing_else_is_served(path: str, client: FlaskClient) -> None:
    """ASVS 13.4.1 to 13.4.5."""
    assert client.get(path).status_code == 404
