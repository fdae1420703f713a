"""The serial modem on the pseudo-terminal modem, and that modem's texts in both directions.

What the far end shows is read by a decoder that is not ours (python-gsmmodem-new), and what it is
given is written by that library's encoders. Where the library is wrong, the way round is beside it.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from threading import Thread

import pytest
from gsmmodem import pdu as other

from gateway_adapters import registry
from gateway_adapters.contract import (
    Gateway,
)
from gateway_adapters.events import Event
from gateway_adapters.serial_modem.gateway import SerialModemGateway
from gateway_adapters.serial_modem.opening import open_serial_modem
from tests.gateways.line import Line
from tests.gateways.newest import Newest
from tests.gateways.peers.driver import WAIT_S, Peer, modem
from tests.outgoing import StoppedClock

FAST: Mapping[str, float] = {
    "command_s": 3.0,
    "prompt_s": 0.3,
    "answer_s": 3.0,
    "late_s": 0.2,
    "retry_s": 0.01,
    "first_wait_s": 0.02,
    "longest_wait_s": 0.2,
}
_EAST_AFRICA = "2027-03-16T18:05:09+03:00"


@dataclass(frozen=True, slots=True, kw_only=True)
class SentPdu:
    """What the far end was given to send, as another decoder reads it."""

    to: str
    text: str
    validity: timedelta | None
    part: tuple[int, int, int] | None  # reference, number, total


def read_sent(pdu_hex: str) -> SentPdu:
    """Return what a submitted PDU says, by gsmmodem's decoder.

    It reads code 5F as a backtick, which the alphabet lacks, and halves of surrogate pairs as
    characters: both are put right here. It leaves a form feed out.
    """
    read = other.decodeSmsPdu(pdu_hex)
    text = read["text"] if _is_ucs2(pdu_hex) else read["text"].replace("`", "§")
    text = text.encode("utf-16-be", "surrogatepass").decode("utf-16-be")
    parts = [(element.reference, element.number, element.parts) for element in read.get("udh", [])]
    return SentPdu(
        to=read["number"],
        text=text,
        validity=read.get("validity"),
        part=parts[0] if parts else None,
    )


def _is_ucs2(pdu_hex: str) -> bool:
    """Read the coding of a submitted PDU that names no centre (TS 23.040, 9.2.2.2)."""
    octets = bytes.fromhex(pdu_hex)
    digits = octets[3]
    return octets[6 + (digits + 1) // 2] == 0x08


def sent_pdus(peer: Peer) -> list[SentPdu]:
    """Return everything the far end has sent so far, in order."""
    peer.tell(act="count")  # once it has answered, all it said before has been read
    return [read_sent(str(item["pdu"])) for item in peer.heard("sent")]


def arrived(peer: Peer) -> list[tuple[str, str]]:
    """Return (number, text) of each text at the far end; long ones joined, unfinished ones left."""
    texts: list[tuple[str, str]] = []
    pieces: dict[tuple[str, int, int], dict[int, str]] = {}
    for sent in sent_pdus(peer):
        if sent.part is None:
            texts.append((sent.to, sent.text))
            continue
        reference, number, total = sent.part
        got = pieces.setdefault((sent.to, reference, total), {})
        got[number] = sent.text
        if len(got) == total:
            texts.append((sent.to, "".join(got[place] for place in sorted(got))))
            del pieces[sent.to, reference, total]
    return texts


def deliver_pdu(sender: str, text: str, *, second: int = 0, header: bytes = b"") -> str:
    """Return a text from a phone in hex, written by gsmmodem's encoders, `second` s after 18:05:09.

    `header` is a user data header with its length octet; its text is then UCS-2.
    """
    sent_at = datetime.fromisoformat(_EAST_AFRICA) + timedelta(seconds=second)
    if header or not _is_gsm7(text):
        coding, data = 0x08, header + bytes(other.encodeUcs2(text))
        length = len(data)
    else:
        septets = other.encodeGsm7(text)
        coding, length, data = 0x00, len(septets), bytes(other.packSeptets(septets))
    octets = (
        bytes.fromhex("0791521500000099")
        + bytes([0x44 if header else 0x04])
        + bytes(other._encodeAddressField(sender))  # noqa: SLF001 -- no public door leads to it
        + bytes([0, coding])
        + bytes(other._encodeTimestamp(sent_at))  # noqa: SLF001 -- no public door leads to it
        + bytes([length])
        + data
    )
    return octets.hex().upper()


def report_line(reference: int, *, to: str = "+255100000001", status: int = 0) -> str:
    """Return a report in hex, as a modem hands it on; its times are 18:05:09 in East Africa."""
    stamp = "72306181509021"
    number = bytes(other._encodeAddressField(to)).hex().upper()  # noqa: SLF001 -- as above
    return f"079152150000009906{reference:02X}{number}{stamp}{stamp}{status:02X}"


def report_notice(report: str) -> bytes:
    """Return the notice of a report, as a modem writes it (TS 27.005, 3.4.1)."""
    return f"\r\n+CDS: {len(report) // 2 - 8}\r\n{report}\r\n".encode("ascii")


def _is_gsm7(text: str) -> bool:
    try:
        other.encodeGsm7(text)
    except ValueError:
        return False
    return True


@contextmanager
def a_route(
    device: str | Path, *, clock: StoppedClock | None = None, **changes: object
) -> Iterator[SerialModemGateway]:
    """Open the adapter on a device for a block; it is impatient unless told otherwise."""
    settings = {"port": str(device), **FAST, **changes}
    gateway = open_serial_modem(settings, clock or StoppedClock())
    try:
        yield gateway
    finally:
        gateway.close(drain_s=0)


@contextmanager
def in_background(do: Callable[[], object]) -> Iterator[None]:
    """Run something beside a block, and let what it raises be raised here."""
    faults: list[BaseException] = []

    def run() -> None:
        try:
            do()
        except BaseException as fault:  # noqa: BLE001 -- handed on to the test's own thread
            faults.append(fault)

    thread = Thread(target=run, daemon=True)
    thread.start()
    yield
    thread.join(WAIT_S)
    assert not thread.is_alive(), "the work beside the block has not ended"
    if faults:
        raise faults[0]


def events_of(gateway: Gateway, many: int, *, wait_s: float = 5.0) -> list[Event]:
    """Take and acknowledge events until there are `many`; fail where they do not come."""
    events: list[Event] = []
    while len(events) < many:
        more = gateway.receive(wait_s=wait_s, limit=many - len(events))
        assert more, f"{len(events)} events came where {many} should"
        for event in more:
            gateway.ack(event)
        events += more
    return events


@pytest.fixture
def serial_modem_line() -> Iterator[Line]:
    """Return the adapter on a modem of its own."""
    with modem() as (peer, device):
        gateway = Newest(
            lambda: registry.open_gateway("serial_modem", {"port": device, **FAST}, StoppedClock())
        )
        seconds = count()

        def say(number: str, text: str) -> None:
            peer.tell(act="inbound", pdu=deliver_pdu(number, text, second=next(seconds)))

        try:
            yield Line(
                gateway=gateway,
                arrived=lambda: arrived(peer),
                say=say,
                restart=gateway.restart,
            )
        finally:
            gateway.close(drain_s=0)
