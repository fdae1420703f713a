"""A modem that is away, locked, mute, slow, noisy or not ours: nothing is lost or doubled."""

import os
import threading
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from time import monotonic

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Gateway,
    HealthState,
    Outcome,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.errors import GatewayClosedError
from gateway_adapters.events import Inbound, Receipt
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import (
    a_route,
    arrived,
    deliver_pdu,
    events_of,
    in_background,
)
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import EVENING, HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing


def send(gateway: Gateway, token: str = "m1", *, text: str = "A") -> Outcome:  # noqa: S107 -- a message's id
    (outcome,) = gateway.submit([an_outgoing(token, text=text)], deadline=HALF_MINUTE_LATER)
    return outcome


def open_descriptors() -> int:
    """Return how many files, devices and pipes this process holds."""
    return len(list(Path("/proc/self/fd").iterdir()))


def not_sent(outcome: Outcome) -> bool:
    return (
        isinstance(outcome, Rejected)
        and (outcome.kind, outcome.scope) == (RejectKind.TRANSIENT, Scope.ROUTE)
        and outcome.code == "not-sent"
    )


def test_without_a_prompt_nothing_leaves_and_the_rest_waits() -> None:
    """Fault: never let in. The modem is set up anew, and the next text goes."""
    with modem(no_prompt_next=1) as (peer, device), a_route(device) as gateway:
        outcomes = gateway.submit(
            [an_outgoing("m1"), an_outgoing("m2")], deadline=HALF_MINUTE_LATER
        )
        accepted = send(gateway, "m3", text="B")

        assert all(not_sent(outcome) for outcome in outcomes)
        assert isinstance(accepted, Accepted)
        assert arrived(peer) == [(PHONE, "B")]


def test_a_missing_sim_stops_the_route_and_says_so() -> None:
    """Fault: never let in. Once it is put in, the modem is found again by itself."""
    with modem(sim="ABSENT") as (peer, device), a_route(device) as gateway:
        refused = send(gateway)
        health = gateway.health()
        peer.tell(sim="READY")
        mended = gateway.check(deadline=HALF_MINUTE_LATER)
        accepted = send(gateway, "m2", text="B")

        assert isinstance(refused, Rejected)
        assert (refused.kind, refused.scope, refused.code) == (
            RejectKind.PERMANENT,
            Scope.ROUTE,
            "cme-10",
        )
        assert (health.state, health.since) == (HealthState.DOWN, EVENING)
        assert health.reason == "The SIM is missing, locked or broken."
        assert mended.state is HealthState.UP
        assert isinstance(accepted, Accepted)
        assert arrived(peer) == [(PHONE, "B")]


def test_a_modem_that_is_not_there_is_told_in_time() -> None:
    with a_route("/nowhere/modem") as gateway:
        began = monotonic()
        outcomes = [send(gateway, "m1"), send(gateway, "m2")]
        took_s = monotonic() - began

        assert all(not_sent(outcome) for outcome in outcomes)
        assert took_s < 5
        assert gateway.health().state is HealthState.DOWN
        assert gateway.receive(wait_s=0, limit=10) == []


def test_a_modem_held_by_another_program_is_not_used() -> None:
    with modem() as (peer, device), a_route(device) as first, a_route(device) as second:
        accepted = send(first)
        refused = send(second, "m2")

        assert isinstance(accepted, Accepted)
        assert not_sent(refused)
        assert second.health().reason == "Another program holds the modem; stop it."
        assert len(arrived(peer)) == 1


def test_a_mute_modem_is_told_by_check_at_its_deadline(tmp_path: Path) -> None:
    master, slave = os.openpty()
    way = tmp_path / "modem"
    way.symlink_to(os.ttyname(slave))
    try:
        with a_route(way) as gateway:
            began = monotonic()
            health = gateway.check(deadline=EVENING + timedelta(seconds=0.3))
            took_s = monotonic() - began
            (outcome,) = gateway.submit([an_outgoing()], deadline=EVENING + timedelta(seconds=0.2))

            assert health.state is HealthState.DOWN
            assert 0.3 <= took_s < 0.3 * 1.1 + 0.2
            assert not_sent(outcome)
    finally:
        os.close(master)
        os.close(slave)


def test_a_modem_plugged_in_anew_is_found_by_its_stable_name(tmp_path: Path) -> None:
    """Fault: the peer leaves. What came in meanwhile, and what goes out then, arrives."""
    way = tmp_path / "modem"
    with modem() as (first, device):
        way.symlink_to(device)
        gateway_of = a_route(way)
        gateway = gateway_of.__enter__()
        before = send(gateway, "m1", text="A")
        events_of(gateway, 1)
        assert arrived(first) == [(PHONE, "A")]
    try:
        while gateway.health().state is not HealthState.DOWN:
            gateway.receive(wait_s=0.05, limit=1)
        away = send(gateway, "m2", text="B")
        with modem() as (second, device):
            second.tell(act="inbound", pdu=deliver_pdu(OTHER_PHONE, "A3"))
            way.unlink()
            way.symlink_to(device)
            back = gateway.check(deadline=HALF_MINUTE_LATER)
            after = send(gateway, "m3", text="C")
            events = events_of(gateway, 2)

            assert isinstance(before, Accepted)
            assert not_sent(away)
            assert back.state is HealthState.UP
            assert isinstance(after, Accepted)
            assert arrived(second) == [(PHONE, "C")]
            assert {type(event) for event in events} == {Inbound, Receipt}
            gateway.close(drain_s=0)
    finally:
        gateway.close(drain_s=0)


def test_a_modem_unplugged_behind_the_text_leaves_a_doubt() -> None:
    with modem(silent_next=1) as (peer, device), tapped(device) as tap:
        gateway_of = a_route(tap.device)
        with gateway_of as gateway:

            def unplug() -> None:
                tap.wait(lambda: b"\x1a" in tap.controls())
                peer.wait_for("sent")
                tap.close()

            with in_background(unplug):
                outcome = send(gateway)

            assert outcome == Ambiguous(reason="modem-gone")
            assert len(arrived(peer)) == 1


@pytest.mark.parametrize("dribble_ms", [1, 2])
def test_a_slow_line_is_read_all_the_same(dribble_ms: int) -> None:
    """Fault: slow peer; every octet comes by itself."""
    with modem(dribble_ms=dribble_ms) as (peer, device), a_route(device, prompt_s=3) as gateway:
        peer.tell(act="inbound", pdu=deliver_pdu(OTHER_PHONE, "A3"))
        outcome = send(gateway)
        events = events_of(gateway, 2)

        assert isinstance(outcome, Accepted)
        assert {type(event) for event in events} == {Inbound, Receipt}
        assert arrived(peer) == [(PHONE, "A")]


NOISE = [
    pytest.param(b"\r\n" + b"x" * 4096 + b"\r\n", id="4 KiB line"),
    pytest.param(bytes(range(256)) * 20, id="all octets"),
    pytest.param(b'\r\n+CMTI: "SM"', id="half a line"),
    pytest.param(b"\r\n+CDS: 26\r\nzz\r\n+CMGL: 1,1,,24\r\n0791\r\n", id="headers alone"),
    pytest.param(b"\r\nOK\r\nERROR\r\n+CMS ERROR: 38\r\n> ", id="answers that nobody awaits"),
    pytest.param(b'\r\n+CMTI: "SM",999\r\n+CDSI: "SM",0\r\n', id="places that are free"),
    pytest.param(b"\r\n+CDS: 2\r\n000206\r\n+CMT: ,1\r\n0000\r\n", id="broken PDUs"),
]


@pytest.mark.parametrize("noise", NOISE)
def test_noise_changes_nothing(noise: bytes) -> None:
    """Faults: garbage, huge."""
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        tap.say(noise + b"\r\n")
        peer.tell(act="inbound", pdu=deliver_pdu(OTHER_PHONE, "A3"))
        texts: list[str] = []  # a broken PDU in the noise is one too
        while "A3" not in texts:
            texts += [event.text for event in events_of(gateway, 1) if isinstance(event, Inbound)]
        outcomes = [send(gateway, f"m{number}", text=f"A{number}") for number in range(3)]
        receipts: set[str] = set()
        while len(receipts) < 3:
            receipts |= {
                event.gateway_id for event in events_of(gateway, 1) if isinstance(event, Receipt)
            }

        ids = [outcome.gateway_ids[0] for outcome in outcomes if isinstance(outcome, Accepted)]
        assert receipts == set(ids)
        assert arrived(peer) == [(PHONE, f"A{number}") for number in range(3)]


def test_noise_between_a_text_and_its_answer_changes_nothing() -> None:
    with (
        modem(answer_ms=100) as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):

        def disturb() -> None:
            tap.wait(lambda: b"\x1a" in tap.controls())
            octets = b"".join(sha256(bytes([number])).digest() for number in range(60))
            tap.say(octets + b"\r\nhello\r\n+CMTI: \r\n")

        with in_background(disturb):
            outcome = send(gateway)

        assert isinstance(outcome, Accepted)
        assert len(arrived(peer)) == 1


def test_closing_lets_a_text_that_has_left_be_answered() -> None:
    with modem(answer_ms=300) as (peer, device), a_route(device) as gateway:
        outcomes: list[Outcome] = []
        with in_background(lambda: outcomes.append(send(gateway))):
            peer.wait_for("sent")
            gateway.close(drain_s=5)

        assert [type(outcome) for outcome in outcomes] == [Accepted]


def test_closing_at_once_leaves_a_doubt_and_refuses_what_waits() -> None:
    with modem(answer_ms=500) as (peer, device), a_route(device) as gateway:
        outcomes: list[Outcome] = []

        def work() -> None:
            batch = [an_outgoing("m1"), an_outgoing("m2")]
            outcomes.extend(gateway.submit(batch, deadline=HALF_MINUTE_LATER))

        with in_background(work):
            peer.wait_for("sent")
            began = monotonic()
            gateway.close(drain_s=0)
            took_s = monotonic() - began

        assert isinstance(outcomes[0], Ambiguous)
        assert not_sent(outcomes[1])
        assert took_s < 2
        assert len(arrived(peer)) == 1


def test_a_receive_that_waits_ends_when_the_gateway_is_closed() -> None:
    with modem() as (_, device), a_route(device) as gateway:
        with in_background(lambda: gateway.receive(wait_s=60, limit=1)):
            gateway.check(deadline=HALF_MINUTE_LATER)
            gateway.close(drain_s=0)

        with pytest.raises(GatewayClosedError):
            gateway.query("an id", PHONE)


def test_threads_and_devices_are_given_back() -> None:
    """Fault: a leak. Counted over several openings, closings and losses."""
    with modem() as (peer, device):
        threads, descriptors = threading.active_count(), open_descriptors()
        for number in range(5):
            with a_route(device) as gateway:
                peer.tell(act="inbound", pdu=deliver_pdu(OTHER_PHONE, "A3", second=number))
                send(gateway, f"m{number}")
                events_of(gateway, 2)
            with a_route("/nowhere/modem") as lost:
                send(lost)

        assert threading.active_count() == threads
        assert open_descriptors() == descriptors


def test_health_and_reprs_cause_no_traffic_and_tell_no_number() -> None:
    with (
        modem() as (_, device),
        tapped(device) as tap,
        a_route(tap.device, own_number=OTHER_PHONE) as gateway,
    ):
        send(gateway, text="Siri")
        events_of(gateway, 1)
        gateway.check(deadline=HALF_MINUTE_LATER)
        commands = len(tap.commands())
        shown = "".join(repr((gateway.health(), gateway, gateway.capabilities)) for _ in range(20))
        gateway.receive(wait_s=0.1, limit=1)

        assert len(tap.commands()) == commands
        assert not {PHONE, OTHER_PHONE, "Siri"} & set(shown.split())
        assert PHONE not in shown
        assert OTHER_PHONE not in shown
        assert "Siri" not in shown


@pytest.mark.parametrize(
    ("changes", "state", "word"),
    [
        pytest.param({}, HealthState.UP, "", id="well"),
        pytest.param({"signal": 5}, HealthState.DEGRADED, "signal", id="weak signal"),
        pytest.param({"signal": 99}, HealthState.DEGRADED, "signal", id="unknown signal"),
        pytest.param({"registered": 2}, HealthState.DEGRADED, "no network", id="no network"),
        pytest.param({"registered": 5}, HealthState.DEGRADED, "another operator", id="roaming"),
        pytest.param({"sim": "SIM PIN"}, HealthState.DOWN, "PIN", id="PIN wanted"),
        pytest.param({"sim": "SIM PUK"}, HealthState.DOWN, "locked itself", id="PUK wanted"),
        pytest.param({"sim": "PH-SIM PIN"}, HealthState.DOWN, "locked", id="bound to a phone"),
    ],
)
def test_a_check_tells_how_the_modem_is_without_sending(
    changes: dict[str, object], state: HealthState, word: str
) -> None:
    with modem(**changes) as (peer, device), a_route(device) as gateway:
        health = gateway.check(deadline=HALF_MINUTE_LATER)

        assert (health.state, word in health.reason) == (state, True)
        assert arrived(peer) == []


def test_a_check_of_a_modem_that_is_busy_with_a_text_does_not_call_it_down() -> None:
    with modem(answer_ms=600) as (peer, device), a_route(device) as gateway:
        with in_background(lambda: send(gateway)):
            peer.wait_for("sent")
            health = gateway.check(deadline=EVENING + timedelta(seconds=0.1))

        assert (health.state, health.reason) == (
            HealthState.DEGRADED,
            "The modem is busy with a text; ask again later.",
        )


def test_a_noisy_line_is_told() -> None:
    with modem() as (peer, device), a_route(device) as gateway:
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(act="raw", hex=(b"\xff" * 2000 + b"\r\n").hex())
        send(gateway)
        events_of(gateway, 1)

        assert "noisy" in gateway.check(deadline=HALF_MINUTE_LATER).reason
