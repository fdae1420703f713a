"""Whatever octets a far end sends: no crash, no hang, and memory in proportion."""

import hashlib
import hmac
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gateway_adapters.contract import Gateway, WebhookRequest
from gateway_adapters.http_form.opening import open_http_form
from gateway_adapters.serial_modem.arrivals import Arrivals
from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.ledger import Ledger
from gateway_adapters.serial_modem.lines import Line, LineCutter
from gateway_adapters.serial_modem.sorting import Sorter
from gateway_adapters.smpp.codec import Bind
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.layout import HEADER
from gateway_adapters.smpp.session import Session
from gateway_adapters.smpp.settings import read_settings
from gateway_adapters.smpp.traffic import Traffic
from tests.gateways.http_form_line import SECRET, settings_for
from tests.outgoing import EVENING, StoppedClock

MOST_OCTETS = 1 << 20  # for one string of at most 300 octets
OCTETS = st.binary(max_size=300)
STAMP = str(int(EVENING.timestamp()))


@contextmanager
def bounded() -> Iterator[None]:
    """Fail if a block takes more memory at any moment than a mebibyte."""
    tracemalloc.start()
    try:
        yield
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST_OCTETS


@given(octets=OCTETS, length=st.none() | st.integers(0, 2**32 - 1))
@settings(max_examples=1000)
def test_any_octets_from_a_centre_end_or_keep_the_connection(
    octets: bytes, length: int | None
) -> None:
    """C16: as they are, and behind a header with any length, which may lie."""
    told = {"host": "127.0.0.1", "port": 1, "system_id": "grower"}
    traffic = Traffic(read_settings(told), StoppedClock(), roll=lambda: 0.0, now=0.0)
    bind = Bind(command=Command.BIND_TRANSCEIVER, system_id="grower", password="")
    session = Session(bind, traffic, now=0.0, on_bound=lambda: None)
    with traffic.lock, bounded():
        session.octets(HEADER.pack(16, Command.BIND_TRANSCEIVER_RESP, 0, 1), 0.0)
        if length is not None:
            session.octets(HEADER.pack(length, Command.DELIVER_SM, 0, 9), 0.1)
        session.octets(octets, 0.1)
        session.tick(0.2)

        assert 0 <= session.wait_s(0.2) <= 60


@given(octets=OCTETS)
@settings(max_examples=1000)
def test_any_octets_from_a_modem_leave_the_next_line_whole(octets: bytes) -> None:
    """C16: as lines, and as the PDU of a text or a report."""
    cutter, sorter, clock = LineCutter(), Sorter(), StoppedClock()
    arrivals = Arrivals(Ledger(Journal(None), clock), clock, own_number="")
    with bounded():
        for line in cutter.feed(octets + b"\r\n", prompt_awaited=False):
            sorter.sort(line, None)
        for event in arrivals.events(octets.hex()):
            repr(event).encode("utf-8")  # no half letters, which no database takes

        assert cutter.feed(b"RING\r\n", prompt_awaited=False) == [Line(text="RING")]


@pytest.fixture(scope="module")
def posted_to() -> Iterator[Gateway]:
    """A gateway that takes posts and calls nobody."""
    gateway = open_http_form(settings_for(9), StoppedClock())
    yield gateway
    gateway.close(drain_s=0)


@given(body=OCTETS)
@settings(max_examples=1000)
def test_any_octets_in_a_post_are_answered(posted_to: Gateway, body: bytes) -> None:
    """C16: signed, so that they are read: taken, and nothing comes of what is no event."""
    mac = hmac.new(SECRET.encode(), f"{STAMP}.".encode() + body, hashlib.sha256).hexdigest()
    headers = {"X-Timestamp": STAMP, "X-Signature": mac}
    with bounded():
        result = posted_to.parse_webhook(
            WebhookRequest(method="POST", path="/x", headers=headers, body=body)
        )

    assert (result.status, result.events) == (200, ())
