"""Connections of the SMPP gateway: cut, mute, garbled, in two, under TLS, over IPv6, and closed."""

import socket
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path
from threading import Thread, active_count

import pytest

from gateway_adapters.contract import Accepted, Ambiguous, HealthState, Outcome, Rejected
from gateway_adapters.errors import GatewayClosedError
from gateway_adapters.events import Inbound, Receipt, ReceiptState
from gateway_adapters.smpp.opening import open_smpp
from tests.gateways.peers.driver import HERE, WAIT_S, message_centre, running
from tests.gateways.relay import a_certificate, relay
from tests.gateways.smpp_line import (
    route,
    say,
    send,
    settle,
    smpp_settings,
    taken,
    texts_of,
)
from tests.outgoing import HALF_MINUTE_LATER, OTHER_PHONE, PHONE, StoppedClock, an_outgoing

QUIET = {"receipt": "none"}
LYING_LENGTH = (  # a deliver_sm whose sm_length of 200 is not there
    "0000002e000000050000000000000063"
    "000101323535313030000000313530353000000000000000000000c84133"
)  # fmt: skip


@pytest.mark.parametrize("leaving", ["unbind", "drop"])
def test_the_gateway_comes_back_when_the_centre_leaves(leaving: str) -> None:
    """Faults: the centre unbinds, or cuts the connection."""
    with route(QUIET) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(act=leaving)
        peer.wait_for("bind", count=2)
        (outcome,) = send(gateway, an_outgoing())

        assert isinstance(outcome, Accepted)
        assert len(peer.wait_for("closed")) == 1


def test_what_flies_when_the_centre_unbinds_still_gets_its_answer() -> None:
    """Fault: unbind while a text has no answer yet; the answer comes within two seconds."""
    with route({"lateMs": 200, **QUIET}) as (peer, gateway):
        outcomes: list[Outcome] = []
        sending = Thread(target=lambda: outcomes.extend(send(gateway, an_outgoing())), daemon=True)
        sending.start()
        peer.wait_for("submit")
        peer.tell(act="unbind")
        sending.join(WAIT_S)

        assert [type(outcome) for outcome in outcomes] == [Accepted]


def test_a_mute_centre_is_left_and_tried_again() -> None:
    """Fault: enquire_link is not answered, twice."""
    with route({"muteEnquire": True}, enquire_s=0.05) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.wait_for("bind", count=2)

        assert len(peer.wait_for("closed")) >= 1


def test_a_silent_link_is_kept_alive() -> None:
    """Twenty times the silence after which we ask, and the connection is still the first."""
    with route(enquire_s=0.02) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        gateway.receive(wait_s=0.4, limit=1)

        assert len(peer.heard("bind")) == 1
        assert gateway.health().state is HealthState.UP


@pytest.mark.parametrize(
    "octets",
    [
        pytest.param("00000000" * 4, id="length 0"),
        pytest.param("0000000f0000001500000000000000", id="length 15"),
        pytest.param("7fffffff000000050000000000000001", id="length 7FFFFFFF"),
        pytest.param("00010001000000050000000000000001" + "41" * 65_521, id="65 537"),
        pytest.param("9e3779b97f4a7c15bf58476d1ce4e5b994d049bb133111eb", id="random"),
    ],
)
def test_a_lost_stream_is_left_and_nothing_is_lost(octets: str) -> None:
    """Faults: lengths that cannot be; the text that waits goes over the next connection."""
    with route(QUIET) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(act="raw", hex=octets)
        peer.wait_for("bind", count=2)
        (outcome,) = send(gateway, an_outgoing())

        assert isinstance(outcome, Accepted)


@pytest.mark.parametrize(
    "octets",
    [
        pytest.param("00000010000007770000000000000005", id="unknown command"),
        pytest.param("00000010800007770000000000000005", id="unknown answer"),
        pytest.param("00000010800000040000000000007777", id="answer to nothing"),
        pytest.param("00000010800000000000000300000000", id="generic_nack"),
        pytest.param("00000010000000050000000000000005", id="empty deliver_sm"),
        pytest.param(LYING_LENGTH, id="lying sm_length"),
    ],
)
def test_noise_is_passed_over_and_the_connection_kept(octets: str) -> None:
    """Faults: PDUs of a sound length that make no sense."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(act="raw", hex=octets)
        settle(peer)
        say(peer, PHONE, "A3")
        (event,) = taken(gateway, 1)

        assert isinstance(event, Inbound)
        assert len(peer.heard("bind")) == 1


def test_pdus_in_two_pieces_are_put_together() -> None:
    """Fault: every PDU comes in two pieces, ten milliseconds apart."""
    with route({"splitMs": 10}) as (peer, gateway):
        outcomes = send(gateway, *(an_outgoing(f"m{n}", text=f"A{n}") for n in range(5)))
        receipts = taken(gateway, 5)

        assert all(isinstance(outcome, Accepted) for outcome in outcomes)
        assert len(receipts) == 5
        assert len(peer.heard("bind")) == 1


def test_two_connections_share_the_work() -> None:
    """The mode transmitter-receiver: texts leave on one, everything comes in on the other."""
    with route(mode="transmitter-receiver") as (peer, gateway):
        health = gateway.check(deadline=HALF_MINUTE_LATER)
        (outcome,) = send(gateway, an_outgoing())
        say(peer, OTHER_PHONE, "A3")
        events = taken(gateway, 2)

        assert health.state is HealthState.UP
        assert sorted(str(item["kind"]) for item in peer.heard("bind")) == [
            "bind_receiver",
            "bind_transmitter",
        ]
        assert isinstance(outcome, Accepted)
        assert {type(event) for event in events} == {Receipt, Inbound}


def test_a_silent_check_is_told() -> None:
    """Let in, but the question for a sign of life has no answer by the deadline."""
    with route({"muteEnquire": True}) as (_, gateway):
        health = gateway.check(deadline=HALF_MINUTE_LATER.replace(second=0, microsecond=400_000))

        assert health.state is HealthState.DEGRADED
        assert health.reason == "The gateway did not answer in time."


def test_tls_is_used_and_the_name_checked(tmp_path: Path) -> None:
    certificate = a_certificate(tmp_path, "centre.example")
    with message_centre() as (peer, port), relay(port, certificate=certificate) as secure:
        settings = smpp_settings(
            secure, tls=True, tls_name="centre.example", tls_ca_file=str(certificate.alone)
        )
        gateway = open_smpp(settings, StoppedClock())
        outcomes = send(gateway, *(an_outgoing(f"m{n}", text="a" * 150) for n in range(50)))
        receipts = taken(gateway, 50)
        gateway.close(drain_s=1)

        assert all(isinstance(outcome, Accepted) for outcome in outcomes)
        assert len(receipts) == 50
        assert len(peer.heard("bind")) == 1


@pytest.mark.parametrize("trusting", [True, False], ids=["wrong name", "unknown issuer"])
def test_a_certificate_that_does_not_fit_is_refused(tmp_path: Path, trusting: bool) -> None:  # noqa: FBT001 -- a row
    """Nothing is said to whoever cannot show the right certificate."""
    certificate = a_certificate(tmp_path, "centre.example")
    with message_centre() as (peer, port), relay(port, certificate=certificate) as secure:
        changes = {"tls_ca_file": str(certificate.alone)} if trusting else {}
        name = "another.example" if trusting else "centre.example"
        settings = smpp_settings(secure, tls=True, tls_name=name, **changes)
        gateway = open_smpp(settings, StoppedClock())
        (outcome,) = send(gateway, an_outgoing())
        health = gateway.health()
        gateway.close(drain_s=0)

        assert isinstance(outcome, Rejected)
        assert outcome.code == "not-sent"
        assert health.reason == "The gateway's certificate is not valid for its name."
        assert peer.heard("bind") == []


def test_an_ipv6_address_will_do() -> None:
    with message_centre() as (_, port), relay(port, host="::1") as six:
        gateway = open_smpp({**smpp_settings(six), "host": "::1"}, StoppedClock())
        (outcome,) = send(gateway, an_outgoing())
        gateway.close(drain_s=0)

        assert isinstance(outcome, Accepted)


def test_another_centre_agrees() -> None:
    """`smsc_rust.py`, on an engine unrelated to the first and to our codec."""
    port = _a_free_port()
    command = [sys.executable, str(HERE / "smsc_rust.py"), "--port", str(port)]
    with running(command) as (peer, _):
        gateway = open_smpp(smpp_settings(port), StoppedClock())
        outcomes = send(gateway, *(an_outgoing(f"m{n}", text=f"A{n} ukimaliza.") for n in range(4)))
        receipts = [event for event in taken(gateway, 4) if isinstance(event, Receipt)]
        gateway.close(drain_s=1)
        sent = [bytes.fromhex(str(item["hex"])) for item in peer.heard("submit")]

    ids = {o.gateway_ids[0] for o in outcomes if isinstance(o, Accepted)}
    assert {(r.gateway_id, r.to, r.state) for r in receipts} == {
        (gateway_id, PHONE, ReceiptState.DELIVERED) for gateway_id in ids
    }
    assert sorted(sent) == [f"A{n} ukimaliza.".encode("ascii") for n in range(4)]


def test_closing_waits_for_answers_and_leaves_in_order() -> None:
    with route({"lateMs": 200, **QUIET}) as (peer, gateway):
        outcomes: list[Outcome] = []
        sending = Thread(target=lambda: outcomes.extend(send(gateway, an_outgoing())), daemon=True)
        sending.start()
        peer.wait_for("submit")
        gateway.close(drain_s=5)
        sending.join(WAIT_S)

        assert [type(outcome) for outcome in outcomes] == [Accepted]
        assert peer.wait_for("closed")[0]["unanswered"] == 0


def test_closing_settles_everything_and_ends_in_time() -> None:
    """One text without an answer, and more behind it: in doubt the one, not sent the others."""
    with route({"silentNext": 1, **QUIET}, window=1) as (peer, gateway):
        outcomes: list[Outcome] = []
        batch = [an_outgoing(f"m{n}", text=f"A{n}") for n in range(3)]
        sending = Thread(target=lambda: outcomes.extend(send(gateway, *batch)), daemon=True)
        sending.start()
        peer.wait_for("submit")
        began = time.monotonic()
        gateway.close(drain_s=0.2)
        took_s = time.monotonic() - began
        sending.join(WAIT_S)

        assert [type(outcome) for outcome in outcomes] == [Ambiguous, Rejected, Rejected]
        assert took_s < 0.2 * 1.1 + 1.2
        assert texts_of(peer.heard("submit")) == [(PHONE, "A0")]
        with pytest.raises(GatewayClosedError):
            send(gateway, an_outgoing())


def test_closing_leaves_no_thread_and_no_descriptor() -> None:
    with message_centre() as (peer, port):
        threads, descriptors = active_count(), _descriptors()
        for mode in ("transceiver", "transmitter-receiver"):
            gateway = open_smpp(smpp_settings(port, mode=mode), StoppedClock())
            send(gateway, an_outgoing())
            peer.tell(act="drop")
            gateway.check(deadline=HALF_MINUTE_LATER)
            gateway.close(drain_s=1)

        assert (active_count(), _descriptors()) == (threads, descriptors)


def test_closing_while_a_connection_neither_comes_nor_fails_ends_in_time() -> None:
    """A listener whose queue is full, so that the connection is neither made nor refused."""
    with ExitStack() as stack:
        listener = stack.enter_context(socket.socket())
        listener.bind(("127.0.0.1", 0))
        listener.listen(0)
        for _ in range(3):
            waiting = stack.enter_context(socket.socket())
            waiting.settimeout(0)
            waiting.connect_ex(listener.getsockname())
        gateway = open_smpp(smpp_settings(int(listener.getsockname()[1])), StoppedClock())
        gateway.receive(wait_s=0.1, limit=1)
        state = gateway.health().state
        began = time.monotonic()
        gateway.close(drain_s=0)

        assert state is HealthState.DEGRADED
        assert time.monotonic() - began < 1


def test_a_process_killed_after_the_submit_leaves_one_text() -> None:
    """Fault: SIGKILL between the submit and our commit; nothing is sent by itself afterwards."""
    with message_centre(lateMs=5_000) as (peer, port):
        with subprocess.Popen(  # noqa: S603 -- our own module
            [sys.executable, "-m", "tests.gateways.smpp_victim", str(port)], cwd=HERE.parents[2]
        ) as victim:
            peer.wait_for("submit")
            victim.kill()
        peer.wait_for("closed")
        gateway = open_smpp(smpp_settings(port), StoppedClock())
        (receipt,) = taken(gateway, 1)
        gateway.close(drain_s=0)

        assert isinstance(receipt, Receipt)
        assert receipt.state is ReceiptState.DELIVERED
        assert texts_of(peer.heard("submit")) == [(PHONE, "Kesho: shamba A.")]


def test_nothing_private_is_logged_or_shown(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("DEBUG")
    with route({"dropNext": 1}) as (peer, gateway):
        send(gateway, an_outgoing(text="Siri kubwa"))
        peer.wait_for("bind", count=2)
        say(peer, OTHER_PHONE, "Siri")
        taken(gateway, 3)
        shown = f"{gateway!r} {gateway.health()!r} {caplog.text}"

    for private in (PHONE[1:], OTHER_PHONE[1:], "Siri", "secret", "grower"):
        assert private not in shown


def _a_free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return int(server.getsockname()[1])


def _descriptors() -> int:
    return len(list(Path("/proc/self/fd").iterdir()))
