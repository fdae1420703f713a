"""What the HTTP gateway leaves behind: nothing in logs, no threads, no descriptors."""

import logging
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from gateway_adapters.contract import (
    Accepted,
    HealthState,
    Outgoing,
    Rejected,
    RejectKind,
    Scope,
    WebhookRequest,
)
from gateway_adapters.http_form.opening import open_http_form
from gateway_adapters.segments import split
from tests.gateways.far_server import answer, far_server
from tests.gateways.http_form_line import API_KEY, SECRET, opened, send, settings_for
from tests.gateways.peers.driver import Peer, http_service
from tests.outgoing import EVENING, HALF_MINUTE_LATER, PHONE, StoppedClock, an_outgoing

DESCRIPTORS = Path("/proc/self/fd")
TAKEN = answer(200, b'{"id": 17}')


@pytest.fixture
def peer_and_port() -> Iterator[tuple[Peer, int]]:
    with http_service(key=API_KEY) as (peer, port):
        yield peer, port


def test_no_log_and_no_repr_holds_a_secret_a_number_or_a_text(
    peer_and_port: tuple[Peer, int], caplog: pytest.LogCaptureFixture
) -> None:
    """Also not at the lowest level, where the HTTP library speaks."""
    peer, port = peer_and_port
    caplog.set_level(logging.DEBUG)

    with opened(settings_for(port)) as gateway:
        outcomes = send(gateway, "m1")
        peer.tell(statusNext=2, status=400)
        outcomes += send(gateway, "m2")
        peer.tell(dropNext=1, statusNext=0)
        outcomes += send(gateway, "m3")
        result = gateway.parse_webhook(
            WebhookRequest(method="POST", path="/", headers={"X-Signature": "0"}, body=b"Namba")
        )
        said = caplog.text + repr((gateway, outcomes, result, gateway.health()))

    for word in (PHONE, PHONE[1:], "Namba", API_KEY, SECRET):
        assert word not in said


def _descriptors() -> int:
    return len(list(DESCRIPTORS.iterdir()))


@pytest.mark.skipif(not DESCRIPTORS.is_dir(), reason="only Linux lists them there")
def test_closing_ends_its_threads_and_descriptors(peer_and_port: tuple[Peer, int]) -> None:
    """Conformance row 14 of the project's message reference."""
    peer, port = peer_and_port
    peer.tell(slowMs=1000)
    threads, descriptors = threading.active_count(), _descriptors()

    gateway = open_http_form(settings_for(port, window=4), StoppedClock())
    gateway.submit(
        [an_outgoing("m1"), an_outgoing("m2")], deadline=EVENING + timedelta(milliseconds=200)
    )
    began = time.monotonic()
    gateway.close(drain_s=0)
    gateway.close(drain_s=5)

    assert time.monotonic() - began < 0.5
    assert (threading.active_count(), _descriptors()) == (threads, descriptors)


@pytest.mark.parametrize(
    ("message", "code"),
    [
        (replace(an_outgoing(), valid_until=EVENING), "validity-over"),
        (replace(an_outgoing(), valid_until=EVENING + timedelta(seconds=59)), "validity-over"),
        (replace(an_outgoing(), text="Kesho"), "parts-differ"),
        (replace(an_outgoing(), text=""), "parts-differ"),
        (replace(an_outgoing(), text="ŋ", segments=split("ŋ")), "not-encodable"),
        (
            replace(an_outgoing(), text="ŋ", segments=replace(split("a"), parts=("ŋ",))),
            "not-encodable",
        ),
        (replace(an_outgoing(), text="a" * 161, segments=split("a" * 161)), "too-many-parts"),
    ],
    ids=range(7),
)
def test_a_text_that_cannot_be_sent_is_refused_before_anything_leaves(
    message: Outgoing, code: str
) -> None:
    """A validity of less than the least that the wire can carry counts as over."""
    with far_server(TAKEN) as server:
        settings = settings_for(
            server.port, encodings=["gsm7"], max_segments=1, valid_until="minutes-left"
        )
        with opened(settings) as gateway:
            refused, sent = gateway.submit([message, an_outgoing("m2")], deadline=HALF_MINUTE_LATER)

    assert isinstance(refused, Rejected)
    assert (refused.kind, refused.scope, refused.code) == (
        RejectKind.PERMANENT,
        Scope.MESSAGE,
        code,
    )
    assert isinstance(sent, Accepted)
    assert len(server.requests) == 1


def test_what_is_sent_is_what_the_settings_say() -> None:
    """Headers, method and body as the far end got them."""
    with far_server(TAKEN) as server:
        settings = settings_for(
            server.port,
            method="PUT",
            body_format="form",
            numbers="digits",
            valid_until="unix",
            body={"a": "$to", "b": "$text", "c": "$valid_until", "d": "$from"},
            idempotency_header="X-Once",
        )
        with opened(settings) as gateway:
            gateway.submit([an_outgoing("é/1", text="A & B")], deadline=HALF_MINUTE_LATER)

    (request,) = server.requests
    assert (request.method, request.path) == ("PUT", "/messages")
    assert request.body == b"a=255100000001&b=A+%26+B&c=1805209200&d=15050"
    assert request.headers["content-type"] == "application/x-www-form-urlencoded"
    assert request.headers["authorization"] == f"Bearer {API_KEY}"
    assert request.headers["x-once"] == "%C3%A9%2F1"
    assert request.headers["host"] == f"127.0.0.1:{server.port}"


def test_a_get_carries_its_fields_in_the_address() -> None:
    with far_server(TAKEN) as server:
        settings = settings_for(
            server.port,
            address=f"http://127.0.0.1:{server.port}/send?v=1",
            method="GET",
            body_format="form",
            body={"to": "$to", "text": "$text"},
        )
        with opened(settings) as gateway:
            (outcome,) = gateway.submit([an_outgoing(text="A & B")], deadline=HALF_MINUTE_LATER)

    assert isinstance(outcome, Accepted)
    assert server.requests[0].path == "/send?v=1&to=%2B255100000001&text=A+%26+B"


def test_a_check_reaches_the_gateway_and_sends_nothing(peer_and_port: tuple[Peer, int]) -> None:
    _, port = peer_and_port
    with opened(settings_for(port)) as gateway:
        reached = gateway.check(deadline=HALF_MINUTE_LATER)
        late = gateway.check(deadline=EVENING)
        sent = send(gateway)
        after = gateway.health()
    closed = gateway.check(deadline=HALF_MINUTE_LATER)

    assert [health.state for health in (reached, late, after, closed)] == [
        HealthState.UP,
        HealthState.DOWN,
        HealthState.UP,
        HealthState.DOWN,
    ]
    assert isinstance(sent[0], Accepted)


def test_a_check_of_a_closed_port_says_so_in_a_plain_sentence() -> None:
    with http_service() as (_, port):
        pass
    with opened(settings_for(port)) as gateway:
        health = gateway.check(deadline=HALF_MINUTE_LATER)

    assert (health.state, health.reason) == (
        HealthState.DOWN,
        "The gateway could not be reached.",
    )


def test_a_name_that_nobody_knows_is_not_sent() -> None:
    """A label of 64 letters is no name (RFC 1035, 2.3.4), so no server is asked."""
    name = f"{'a' * 64}.test"
    settings = settings_for(9, address=f"https://{name}/", hosts=[f"{name}:443"])
    with opened(settings) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Rejected)
    assert (outcome.code, outcome.detail) == ("not-sent", "The gateway's name was not found.")


def test_without_webhooks_there_is_no_door() -> None:
    settings = settings_for(9)
    del settings["webhooks"]
    with opened(settings) as gateway:
        result = gateway.parse_webhook(
            WebhookRequest(method="POST", path="/", headers={}, body=b"{}")
        )

    assert (result.status, result.events) == (404, ())
