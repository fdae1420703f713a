"""Where gateways call us: signed posts are stored before they are answered, all others refused."""

import json
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from hmac import new as hmac_of

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy.exc import OperationalError
from werkzeug.test import TestResponse

from gateway_adapters.http_form.opening import open_http_form
from service.records.traffic import InboundRow, MessageRow
from service.web.app import create_app
from tests.gateways.http_form_line import SECRET, settings_for
from tests.web.staff import SECRET_KEY, Wall
from tests.world import PHONE, World, enrol
from tests.world_looks import rows

TEXT = {"type": "text", "event": "e1", "from": PHONE, "to": "15050", "text": "A1"}


@pytest.fixture
def caller(world: World, wall: Wall) -> Iterator[FlaskClient]:
    """A gateway that calls the route `main`, whose adapter is the one for HTTP."""
    gateway = open_http_form(settings_for(1), world.clock)
    settings = replace(world.services.settings, secret_key=SECRET_KEY)
    world.services = replace(world.services, settings=settings, gateways={"main": gateway})
    yield create_app(world.services, wall=wall.clock).test_client()
    gateway.close(drain_s=0)


def post(
    world: World, caller: FlaskClient, document: object, *, key: str = SECRET, route: str = "main"
) -> TestResponse:
    """Post a document, signed with a key at the world's time."""
    body = json.dumps(document).encode()
    stamp = str(int(world.clock().timestamp()))
    signature = hmac_of(key.encode(), f"{stamp}.".encode() + body, sha256).hexdigest()
    headers = {"X-Signature": signature, "X-Timestamp": stamp}
    return caller.post(f"/gateways/{route}/posts", data=body, headers=headers)


def test_a_text_that_a_gateway_posts_is_taken_as_any_other(
    world: World, caller: FlaskClient
) -> None:
    enrol(world)

    answer = post(world, caller, TEXT)

    assert answer.status_code == 200
    assert [(row.text, row.sender) for row in rows(world, InboundRow)] == [("A1", PHONE)]
    assert [row.number for row in rows(world, MessageRow) if row.evening is None] == [PHONE]


def test_a_post_that_comes_twice_has_one_effect(world: World, caller: FlaskClient) -> None:
    enrol(world)

    answers = [post(world, caller, TEXT).status_code for _ in range(2)]

    assert answers == [200, 200]
    assert len(rows(world, InboundRow)) == 1


def test_a_forged_post_is_refused_and_changes_nothing(world: World, caller: FlaskClient) -> None:
    enrol(world)

    answer = post(world, caller, TEXT, key="sixteen or more, guessed")

    assert answer.status_code == 401
    assert rows(world, InboundRow) == []
    assert PHONE not in answer.text


def test_a_post_needs_neither_a_session_nor_a_form_s_token_but_a_route(
    world: World, caller: FlaskClient
) -> None:
    assert post(world, caller, TEXT, route="other").status_code == 404
    assert caller.get("/gateways/main/posts").status_code in (401, 405)


def test_while_the_records_are_away_a_post_is_not_taken_and_may_come_again(
    world: World, caller: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    enrol(world)

    def away(*_: object, **__: object) -> object:
        raise OperationalError("select", {}, OSError("away"))

    with monkeypatch.context() as patched:
        patched.setattr("service.dispatch.receiver.join_part", away)
        refused = post(world, caller, TEXT)
    again = post(world, caller, TEXT)

    assert (refused.status_code, again.status_code) == (503, 200)
    assert [row.text for row in rows(world, InboundRow)] == ["A1"]


def test_with_the_fake_gateway_nobody_calls(app: Flask, world: World) -> None:
    assert post(world, app.test_client(), TEXT).status_code == 404
