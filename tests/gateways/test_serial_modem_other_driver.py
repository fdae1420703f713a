"""The peer behaves as a modem: a driver that is not ours sends, gets its report, and receives.

The driver is the package python-gsmmodem-new. The adapter then works on the same terminal.
"""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from queue import Queue
from typing import Protocol

from gateway_adapters.contract import Accepted
from gateway_adapters.events import Receipt
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import a_route, arrived, deliver_pdu, events_of
from tests.outgoing import HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

LONG = "Kesho: shamba A. " * 10
WAIT_S = 10.0


class Report(Protocol):
    """A report, as the driver shows it."""

    deliveryStatus: int  # noqa: N815 -- the driver's name


class Sent(Protocol):
    """A text that the driver has sent."""

    report: Report


class Received(Protocol):
    """A text that the driver has received."""

    number: str
    text: str


class Driver(Protocol):
    """What the driver can do, as far as it is used here."""

    def connect(self) -> None:
        """Set the modem up."""

    def sendSms(self, number: str, text: str, *, waitForDeliveryReport: bool) -> Sent:  # noqa: N802, N803 -- the driver's names
        """Send a text."""

    def close(self) -> None:
        """Let go of the modem."""


@contextmanager
def a_driver(device: str, inbound: "Queue[Received]") -> Iterator[Driver]:
    """Open the other driver for a block."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its patterns hold escapes that Python has given up
        module = import_module("gsmmodem.modem")
    driver: Driver = module.GsmModem(device, 115200, smsReceivedCallbackFunc=inbound.put)
    driver.connect()
    try:
        yield driver
    finally:
        driver.close()


def test_another_driver_and_then_ours_use_the_same_modem() -> None:
    """One thing at a time: that driver loses what the modem says while it waits for an answer."""
    inbound: Queue[Received] = Queue()
    with modem(report_ms=150) as (peer, device):
        with a_driver(device, inbound) as driver:
            peer.tell(act="inbound", pdu=deliver_pdu(OTHER_PHONE, "A3 NO"))
            received = inbound.get(timeout=WAIT_S)
            sent = driver.sendSms(PHONE, "A3", waitForDeliveryReport=True)
            peer.tell(report="none")
            driver.sendSms(PHONE, LONG, waitForDeliveryReport=False)
        peer.tell(report="cds", report_ms=5)
        with a_route(device) as gateway:
            (outcome,) = gateway.submit([an_outgoing(text=LONG)], deadline=HALF_MINUTE_LATER)
            receipts = [event for event in events_of(gateway, 2) if isinstance(event, Receipt)]

        assert (received.number, received.text) == (OTHER_PHONE, "A3 NO")
        assert sent.report.deliveryStatus == 0
        assert isinstance(outcome, Accepted)
        assert [receipt.gateway_id for receipt in receipts] == list(outcome.gateway_ids)
        assert arrived(peer) == [(PHONE, "A3"), (PHONE, LONG), (PHONE, LONG)]
