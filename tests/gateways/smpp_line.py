"""The SMPP gateway against `smsc.js`, for the contract suite."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager

import pytest

from gateway_adapters import gsm7
from gateway_adapters.contract import (
    Outcome,
    Outgoing,
)
from gateway_adapters.events import Event
from gateway_adapters.smpp.gateway import SmppGateway
from gateway_adapters.smpp.opening import open_smpp
from tests.gateways.line import Line
from tests.gateways.newest import Newest
from tests.gateways.peers.driver import Happening, Peer, message_centre
from tests.outgoing import HALF_MINUTE_LATER, StoppedClock

EVENT_WAIT_S = 5.0


def smpp_settings(port: int, **changes: object) -> dict[str, object]:
    """Return the settings of a route to a peer on this machine, impatient in every way."""
    return {
        "host": "127.0.0.1",
        "port": port,
        "system_id": "grower",
        "password": "secret",
        "rate_per_s": 10_000,
        "reconnect_s": 0.02,
        "settled_s": 0.01,
        "throttle_s": 0.02,
        **changes,
    }


def texts_of(submits: Sequence[Happening]) -> list[tuple[str, str]]:
    """Return (number, text) of what the centre took, in order, the parts of a text joined."""
    texts: list[tuple[str, str]] = []
    pieces: dict[tuple[str, str], dict[int, str]] = {}
    for item in submits:
        number, header = f"+{item['to']}", str(item["udh"])
        if not header:
            texts.append((number, str(item["text"])))
            continue
        reference, total, place = bytes.fromhex(header)[-3:]
        parts = pieces.setdefault((number, f"{reference}/{total}"), {})
        parts[place] = str(item["text"])
        if len(parts) == total:
            texts.append((number, "".join(parts.pop(place) for place in sorted(parts))))
    return texts


def say(peer: Peer, number: str, text: str, *, to: str = "15050") -> None:
    """Let a phone send a text in the default alphabet."""
    peer.tell(act="mo", **{"from": number.removeprefix("+")}, to=to, hex=gsm7.encode(text).hex())


def settle(peer: Peer) -> None:
    """Wait until the gateway has read everything that the centre wrote before."""
    before = len(peer.heard("enquire_link_resp"))
    peer.tell(act="enquire")
    peer.wait_for("enquire_link_resp", count=before + 1)


@contextmanager
def route(
    centre_settings: Mapping[str, object] | None = None, **changes: object
) -> Iterator[tuple[Peer, SmppGateway]]:
    """Run a centre and a gateway that knows it for a block; the clock stands still."""
    with message_centre(**(centre_settings or {})) as (peer, port):
        gateway = open_smpp(smpp_settings(port, **changes), StoppedClock())
        try:
            yield peer, gateway
        finally:
            gateway.close(drain_s=0)


def send(gateway: SmppGateway, *messages: Outgoing) -> list[Outcome]:
    """Submit with half a minute's time."""
    return gateway.submit(messages, deadline=HALF_MINUTE_LATER)


def taken(gateway: SmppGateway, many: int) -> list[Event]:
    """Take and acknowledge events until there are as many, or one wait brings none."""
    events: list[Event] = []
    while len(events) < many and (more := gateway.receive(wait_s=EVENT_WAIT_S, limit=100)):
        for event in more:
            gateway.ack(event)
        events += more
    return events


@pytest.fixture
def smpp_line() -> Iterator[Line]:
    """Return an SMPP gateway and a message centre."""
    with ExitStack() as stack:
        peer, port = stack.enter_context(message_centre())
        settings = smpp_settings(port)
        gateway = Newest(lambda: open_smpp(settings, StoppedClock()))
        stack.callback(gateway.close, drain_s=0)

        def arrived() -> list[tuple[str, str]]:
            peer.tell(act="count")  # its answer comes after all that it said before
            return texts_of(peer.heard("submit"))

        def say_and_settle(number: str, text: str) -> None:
            gateway.check(deadline=HALF_MINUTE_LATER)
            say(peer, number, text)
            settle(peer)

        yield Line(
            gateway=gateway,
            arrived=arrived,
            say=say_and_settle,
            restart=gateway.restart,
        )
