"""Whom the HTTP gateway calls, and whom never: addresses, names, certificates, redirects."""

import gc
import socket
import time
from datetime import timedelta
from pathlib import Path
from threading import Event

import pytest

from gateway_adapters.contract import (
    Accepted,
    Health,
    HealthState,
    Outcome,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.http_form.gateway import HttpFormGateway
from gateway_adapters.http_form.settings import read_settings
from tests.gateways.far_server import (
    FarServer,
    answer,
    certificate,
    far_server,
)
from tests.gateways.http_form_line import (
    API_KEY,
    answered,
    opened,
    send,
    settings_for,
)
from tests.gateways.peers.driver import http_service
from tests.outgoing import EVENING, HALF_MINUTE_LATER, StoppedClock, an_outgoing

TAKEN = answer(200, b'{"id": 17}')


def test_a_redirect_is_never_followed() -> None:
    """Fault: redirect, other host; 127.0.0.2 is never contacted."""
    with far_server(TAKEN, address="127.0.0.2") as other:
        away = f"Location: http://127.0.0.2:{other.port}/messages"
        outcome, server = answered(answer(307, b"", away, "Set-Cookie: a=b"))

        assert isinstance(outcome, Rejected)
        assert (outcome.kind, outcome.scope) == (RejectKind.PERMANENT, Scope.ROUTE)
        assert len(server.requests) == 1
        assert other.requests == []


def test_no_proxy_is_taken_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    with far_server(TAKEN, address="127.0.0.2") as proxy:
        for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
            monkeypatch.setenv(name, f"http://127.0.0.2:{proxy.port}")
        monkeypatch.delenv("no_proxy", raising=False)
        outcome, _ = answered(TAKEN)

        assert isinstance(outcome, Accepted)
        assert proxy.requests == []


def test_a_name_that_leads_to_a_private_address_is_not_called() -> None:
    """Fault: the address behind an allowed name is this computer, and that is not allowed."""
    with far_server(TAKEN) as server:
        settings = settings_for(server.port) | {
            "address": f"https://localhost:{server.port}/",
            "hosts": [f"localhost:{server.port}"],
            "allow_private": False,
        }
        with opened(settings) as gateway:
            (outcome,) = send(gateway)
            health = gateway.check(deadline=HALF_MINUTE_LATER)

    assert isinstance(outcome, Rejected)
    assert (outcome.kind, outcome.scope, outcome.code) == (
        RejectKind.TRANSIENT,
        Scope.ROUTE,
        "not-sent",
    )
    assert health.reason == "The address is private, and 'allow_private' is not set."
    assert server.requests == []


def _over_tls(folder: Path, *names: str, **changes: object) -> tuple[Outcome, Health, FarServer]:
    file = certificate(folder, *names)
    with far_server(TAKEN, tls=file) as server:
        settings = settings_for(server.port) | {
            "address": f"https://localhost:{server.port}/",
            "hosts": [f"localhost:{server.port}"],
            "ca_file": str(file),
        }
        with opened(settings | changes) as gateway:
            (outcome,) = send(gateway)
            health = gateway.check(deadline=HALF_MINUTE_LATER)
    return outcome, health, server


def test_a_trusted_certificate_of_the_right_name_lets_texts_through(tmp_path: Path) -> None:
    outcome, health, server = _over_tls(tmp_path, "localhost")

    assert isinstance(outcome, Accepted)
    assert health.state is HealthState.UP
    assert server.requests[0].headers["host"] == f"localhost:{server.port}"


def test_a_look_whether_it_is_there_leaves_no_connection_behind(tmp_path: Path) -> None:
    """One that is left open is a warning, and warnings are errors here."""
    file = certificate(tmp_path, "localhost")
    with far_server(TAKEN, tls=file) as server:
        settings = settings_for(server.port) | {
            "address": f"https://localhost:{server.port}/",
            "hosts": [f"localhost:{server.port}"],
            "ca_file": str(file),
        }
        for _ in range(40):
            with opened(settings) as gateway:
                assert gateway.check(deadline=HALF_MINUTE_LATER).state is HealthState.UP
            gc.collect()


def test_a_certificate_of_another_name_is_refused_before_anything_is_sent(tmp_path: Path) -> None:
    """Fault: wrong name; the address connected to is right, so only the name can tell."""
    outcome, health, server = _over_tls(tmp_path, "elsewhere.test", "127.0.0.1")

    assert isinstance(outcome, Rejected)
    assert outcome.code == "not-sent"
    assert health.state is HealthState.DOWN
    assert server.requests == []


def test_a_certificate_that_nobody_vouches_for_is_refused(tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    outcome, _, server = _over_tls(
        tmp_path, "localhost", ca_file=str(certificate(other, "localhost"))
    )

    assert isinstance(outcome, Rejected)
    assert outcome.code == "not-sent"
    assert server.requests == []


def test_a_peer_that_speaks_no_tls_gets_nothing() -> None:
    with http_service(key=API_KEY) as (peer, port):
        settings = settings_for(port) | {"address": f"https://127.0.0.1:{port}/messages"}
        with opened(settings) as gateway:
            (outcome,) = send(gateway)

        assert isinstance(outcome, Rejected)
        assert outcome.code == "not-sent"
        assert peer.heard("submit") == []


def test_a_peer_that_never_shakes_hands_gets_nothing_and_holds_nobody() -> None:
    """Fault: silence before TLS; the connect time-out ends it, and nothing was sent."""
    with socket.create_server(("127.0.0.1", 0)) as deaf:
        port = deaf.getsockname()[1]
        settings = settings_for(port, connect_s=0.2) | {"address": f"https://127.0.0.1:{port}/"}
        with opened(settings) as gateway:
            began = time.monotonic()
            (outcome,) = send(gateway)
            took_s = time.monotonic() - began

    assert isinstance(outcome, Rejected)
    assert outcome.code == "not-sent"
    assert took_s < 1


class _Names:
    """A book of names that gives one answer after the other."""

    def __init__(self, *answers: list[str]) -> None:
        self.asked = 0
        self._answers = answers

    def __call__(self, _: str, __: int) -> list[str]:
        """Return the next answer."""
        self.asked += 1
        return self._answers[self.asked - 1]


def _named(names: _Names, port: int, **changes: object) -> HttpFormGateway:
    address = {"address": f"http://a.test:{port}/", "hosts": [f"a.test:{port}"]}
    return HttpFormGateway(
        read_settings(settings_for(port, **(address | changes))), StoppedClock(), look_up=names
    )


def test_the_address_that_was_looked_at_is_the_one_that_is_called() -> None:
    """Threat T5 of the project's security reference: a name that leads elsewhere the second time.

    Each request asks once, and what that said is checked and called.
    """
    names = _Names(["127.0.0.1"], ["10.0.0.1"], ["127.0.0.1"])
    with far_server(TAKEN) as server:
        gateway = _named(names, server.port)
        outcomes = [send(gateway, token)[0] for token in ("m1", "m2", "m3")]
        gateway.close(drain_s=0)

    assert [type(outcome) for outcome in outcomes] == [Accepted, Rejected, Accepted]
    assert names.asked == 3
    assert [request.headers["host"] for request in server.requests] == [f"a.test:{server.port}"] * 2


def test_one_address_that_may_not_be_called_spoils_the_name() -> None:
    names = _Names(["127.0.0.1", "10.0.0.1"])
    with far_server(TAKEN) as server:
        gateway = _named(names, server.port)
        (outcome,) = send(gateway)
        gateway.close(drain_s=0)

    assert isinstance(outcome, Rejected)
    assert server.requests == []


def test_a_dead_address_gives_way_to_the_next() -> None:
    with far_server(TAKEN) as server:
        gateway = _named(_Names(["127.0.0.2", "127.0.0.1"]), server.port)
        (outcome,) = send(gateway)
        gateway.close(drain_s=0)

    assert isinstance(outcome, Accepted)
    assert len(server.requests) == 1


def test_names_that_take_too_long_leave_the_text_unsent_at_the_deadline() -> None:
    """Fault: silence of the name service; nothing has left, and nothing leaves later.

    The window is free again for the next text, though the name is still being looked up.
    """
    asked, release, slow = Event(), Event(), True

    def look_up(_: str, __: int) -> list[str]:
        asked.set()
        if slow:
            release.wait(10)
        return ["127.0.0.1"]

    with far_server(TAKEN) as server:
        settings = settings_for(
            server.port, address=f"http://a.test:{server.port}/", hosts=[f"a.test:{server.port}"]
        )
        gateway = HttpFormGateway(read_settings(settings), StoppedClock(), look_up=look_up)
        (outcome,) = gateway.submit(
            [an_outgoing("m1")], deadline=EVENING + timedelta(milliseconds=200)
        )
        slow = False
        (after,) = gateway.submit([an_outgoing("m2")], deadline=EVENING + timedelta(seconds=3))
        release.set()
        late = gateway.receive(wait_s=0.2, limit=1)
        gateway.close(drain_s=1)

    assert asked.is_set()
    assert isinstance(outcome, Rejected)
    assert outcome.code == "not-sent"
    assert isinstance(after, Accepted)
    assert (late, len(server.requests)) == ([], 1)
    assert b'"m2"' in server.requests[0].body
