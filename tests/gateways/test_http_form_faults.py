"""What an HTTP gateway can do wrong, against the peer; its log against our outcomes."""

import time
from collections.abc import Iterator
from datetime import timedelta
from email.utils import format_datetime

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    HealthState,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.events import LateAnswer
from service.clock import system_clock
from tests.gateways.http_form_line import (
    API_KEY,
    IDEMPOTENT,
    opened,
    send,
    settings_for,
)
from tests.gateways.peers.driver import Peer, http_service
from tests.outgoing import EVENING, an_outgoing


@pytest.fixture
def peer_and_port() -> Iterator[tuple[Peer, int]]:
    with http_service(key=API_KEY) as (peer, port):
        yield peer, port


def _tokens(peer: Peer) -> list[object]:
    return [message["token"] for message in peer.heard("submit")]


def test_a_cut_after_the_gateway_took_it_is_ambiguous_and_sent_once(
    peer_and_port: tuple[Peer, int],
) -> None:
    """Fault: cut after the gateway took it (dropNext)."""
    peer, port = peer_and_port
    peer.tell(dropNext=1)

    with opened(settings_for(port)) as gateway:
        (outcome,) = send(gateway)
        (after,) = send(gateway, "m2")

    assert isinstance(outcome, Ambiguous)
    assert isinstance(after, Accepted)
    assert _tokens(peer) == ["m1", "m2"]


@pytest.mark.parametrize("status", [408, 500, 502, 504, 599])
def test_a_status_that_says_nothing_certain_is_ambiguous(
    peer_and_port: tuple[Peer, int], status: int
) -> None:
    """Fault: an uncertain status, not taken (statusNext)."""
    peer, port = peer_and_port
    peer.tell(statusNext=1, status=status)

    with opened(settings_for(port)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Ambiguous)
    assert _tokens(peer) == []


def test_a_failure_after_the_gateway_took_it_is_ambiguous(peer_and_port: tuple[Peer, int]) -> None:
    """Fault: taken, then 500 (failAfterNext)."""
    peer, port = peer_and_port
    peer.tell(failAfterNext=1)

    with opened(settings_for(port)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Ambiguous)
    assert _tokens(peer) == ["m1"]


def test_a_cut_before_the_gateway_took_it_is_ambiguous_too(
    peer_and_port: tuple[Peer, int],
) -> None:
    """Fault: cut, not taken (lostNext): we cannot tell, so we still send none."""
    peer, port = peer_and_port
    peer.tell(lostNext=1)

    with opened(settings_for(port)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Ambiguous)
    assert _tokens(peer) == []


@pytest.mark.parametrize("fault", ["dropNext", "failAfterNext", "lostNext"])
def test_one_retry_under_the_same_key_clears_up_what_is_ambiguous(
    peer_and_port: tuple[Peer, int], fault: str
) -> None:
    """Faults dropNext, failAfterNext and lostNext, where the gateway notices a second request."""
    peer, port = peer_and_port
    peer.tell(**{fault: 1})

    with opened(settings_for(port, **IDEMPOTENT)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Accepted)
    assert [message["id"] for message in peer.heard("submit")] == [*outcome.gateway_ids]


def test_there_is_one_retry_and_no_more(peer_and_port: tuple[Peer, int]) -> None:
    """Fault: dropNext twice, with a key; the peer hears of the text twice under one id."""
    peer, port = peer_and_port
    peer.tell(dropNext=3)

    with opened(settings_for(port, **IDEMPOTENT)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Ambiguous)
    assert (len(peer.heard("submit")), len(peer.heard("again"))) == (1, 1)


def test_silence_is_ambiguous_at_the_deadline(peer_and_port: tuple[Peer, int]) -> None:
    """Fault: silence (silentNext)."""
    peer, port = peer_and_port
    peer.tell(silentNext=1)

    with opened(settings_for(port)) as gateway:
        began = time.monotonic()
        (outcome,) = gateway.submit([an_outgoing()], deadline=EVENING + timedelta(milliseconds=300))
        took_s = time.monotonic() - began

    assert isinstance(outcome, Ambiguous)
    assert 0.28 <= took_s <= 0.3 * 1.1 + 0.2
    assert _tokens(peer) == ["m1"]


def test_a_late_answer_comes_as_an_event_until_it_is_acknowledged(
    peer_and_port: tuple[Peer, int],
) -> None:
    """Fault: late answer (slowMs): as silence, then repaired."""
    peer, port = peer_and_port
    peer.tell(slowMs=400)

    with opened(settings_for(port)) as gateway:
        (outcome,) = gateway.submit([an_outgoing()], deadline=EVENING + timedelta(milliseconds=200))
        (late,) = gateway.receive(wait_s=5, limit=10)
        gateway.nack(late)
        again = gateway.receive(wait_s=0, limit=10)
        gateway.ack(late)
        gateway.nack(late)
        after = gateway.receive(wait_s=0, limit=10)

    assert isinstance(outcome, Ambiguous)
    (message,) = peer.heard("submit")
    assert isinstance(late, LateAnswer)
    assert (late.token, late.gateway_ids) == ("m1", (str(message["id"]),))
    assert (again, after) == ([late], [])


def test_a_closed_port_is_not_sent_and_rests_the_route() -> None:
    """Fault: never let in (port closed); the next text is not even tried."""
    with http_service() as (_, port):
        pass

    with opened(settings_for(port, window=1)) as gateway:
        outcomes = send(gateway, "m1", "m2")
        health = gateway.health()

    assert [
        (outcome.kind, outcome.scope, outcome.code)
        for outcome in outcomes
        if isinstance(outcome, Rejected)
    ] == [(RejectKind.TRANSIENT, Scope.ROUTE, "not-sent")] * 2
    assert (health.state, health.since) == (HealthState.DOWN, EVENING)


@pytest.mark.parametrize("status", [300, 401, 402, 403, 404, 405, 410, 413, 415, 418, 422])
def test_a_refusal_of_the_route_fails_no_text(peer_and_port: tuple[Peer, int], status: int) -> None:
    """Faults: never let in, refused sender, no credit; the route rests after the first."""
    peer, port = peer_and_port
    peer.tell(statusNext=1, status=status)

    with opened(settings_for(port)) as gateway:
        outcomes = send(gateway, "m1", "m2", "m3")

    assert {
        (outcome.kind, outcome.scope, outcome.code)
        for outcome in outcomes
        if isinstance(outcome, Rejected)
    } == {(RejectKind.PERMANENT, Scope.ROUTE, str(status))}
    assert _tokens(peer) == []


def test_a_wrong_key_is_a_refusal_of_the_route(peer_and_port: tuple[Peer, int]) -> None:
    """Fault: never let in (401)."""
    peer, port = peer_and_port

    with opened(settings_for(port, headers={"Authorization": "Bearer wrong"})) as gateway:
        (outcome,) = send(gateway)
        reason = gateway.health().reason

    assert isinstance(outcome, Rejected)
    assert (outcome.kind, outcome.scope) == (RejectKind.PERMANENT, Scope.ROUTE)
    assert reason == "The gateway refuses our name or password."
    assert _tokens(peer) == []


@pytest.mark.parametrize("status", [429, 503])
def test_a_throttled_route_rests_and_then_sends_all(
    peer_and_port: tuple[Peer, int], status: int
) -> None:
    """Fault: throttled (statusNext 429 and 503 with retryAfter): no text is failed or doubled."""
    peer, port = peer_and_port
    peer.tell(statusNext=1, status=status, retryAfter="60")

    with opened(settings_for(port)) as gateway:
        throttled = send(gateway, "m1", "m2")
        resting = send(gateway, "m1", "m2")
        health = gateway.health()
    peer.tell(statusNext=1, retryAfter="0")
    with opened(settings_for(port)) as gateway:
        again = send(gateway, "m1", "m2")
        sent = send(gateway, "m1", "m2")

    for outcome in (*throttled, *resting, *again):
        assert isinstance(outcome, Rejected)
        assert (outcome.kind, outcome.scope) == (RejectKind.THROTTLED, Scope.ROUTE)
    waits = [outcome.retry_after_s for outcome in throttled if isinstance(outcome, Rejected)]
    assert waits[0] == 60
    assert health.state is HealthState.DEGRADED
    assert all(isinstance(outcome, Accepted) for outcome in sent)
    assert _tokens(peer) == ["m1", "m2"]


def test_a_wait_given_as_a_date_is_measured_by_the_gateways_clock(
    peer_and_port: tuple[Peer, int],
) -> None:
    """Fault: throttled until a date, while our own clock is somewhere else."""
    peer, port = peer_and_port
    until = system_clock() + timedelta(seconds=100)
    peer.tell(statusNext=1, status=429, retryAfter=format_datetime(until, usegmt=True))

    with opened(settings_for(port)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Rejected)
    assert outcome.retry_after_s == pytest.approx(100, abs=10)


@pytest.mark.parametrize("fault", [{"errorIn200Next": 1}, {"statusNext": 1, "status": 400}])
def test_a_number_that_is_refused_fails_its_text_and_holds_up_no_other(
    peer_and_port: tuple[Peer, int], fault: dict[str, object]
) -> None:
    """Faults: refused for good (errorIn200Next, 400 with an error that the table knows)."""
    peer, port = peer_and_port
    peer.tell(**fault)
    codes = {name: {"kind": "permanent"} for name in ("number refused", "as asked")}

    with opened(settings_for(port, errors={"pointer": "/error", "codes": codes})) as gateway:
        refused, sent = send(gateway, "m1", "m2")

    assert isinstance(refused, Rejected)
    assert (refused.kind, refused.scope) == (RejectKind.PERMANENT, Scope.MESSAGE)
    assert isinstance(sent, Accepted)
    assert _tokens(peer) == ["m2"]


@pytest.mark.parametrize("fault", ["noIdNext", "badJsonNext"])
def test_an_answer_without_an_id_is_ambiguous(peer_and_port: tuple[Peer, int], fault: str) -> None:
    """Faults: accepted without id (noIdNext), garbage (badJsonNext)."""
    peer, port = peer_and_port
    peer.tell(**{fault: 1})

    with opened(settings_for(port)) as gateway:
        (outcome,) = send(gateway)

    assert isinstance(outcome, Ambiguous)
    assert _tokens(peer) == ["m1"]


def test_a_huge_answer_is_ambiguous_and_its_rest_is_not_read(
    peer_and_port: tuple[Peer, int],
) -> None:
    """Fault: huge (hugeNext, 50 MB)."""
    peer, port = peer_and_port
    peer.tell(hugeNext=1)

    with opened(settings_for(port)) as gateway:
        first, second = send(gateway, "m1", "m2")

    assert isinstance(first, Ambiguous)
    assert isinstance(second, Accepted)


def test_other_texts_go_on_beside_a_slow_one(peer_and_port: tuple[Peer, int]) -> None:
    """Fault: slow peer (slowMs); four at a time take the time of one."""
    peer, port = peer_and_port
    peer.tell(slowMs=300)

    with opened(settings_for(port, window=4)) as gateway:
        began = time.monotonic()
        outcomes = send(gateway, "m1", "m2", "m3", "m4")
        took_s = time.monotonic() - began

    assert all(isinstance(outcome, Accepted) for outcome in outcomes)
    assert took_s < 2 * 0.3 + 0.2
