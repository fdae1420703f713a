"""Reads what a modem hands on from the network: a text or a report (3GPP TS 23.040, 9.2.2). Pure.

A PDU here is what AT commands show (TS 27.005): the centre's address, then the TPDU, in hex.
"""

from dataclasses import dataclass
from datetime import datetime

from gateway_adapters.errors import MalformedPduError
from gateway_adapters.serial_modem.octets import Octets, read_address, read_time
from gateway_adapters.serial_modem.user_data import UserData, read_user_data

_KIND, _DELIVER, _REPORT = 0x03, 0x00, 0x02
_HAS_HEADER = 0x40
_MOST_HEX = 2 * (12 + 164)  # a centre's address and the longest TPDU: TS 24.011, 8.2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Deliver:
    """A text from a phone; `sent_at` by the centre's clock, None where that is unreadable."""

    sender: str
    sent_at: datetime | None
    data: UserData


@dataclass(frozen=True, slots=True, kw_only=True)
class StatusReport:
    """What has become of a text: `reference` and `to` as when it was sent, `status` TP-ST."""

    reference: int
    to: str
    status: int
    sent_at: datetime | None
    done_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherPdu:
    """A PDU that is neither, such as a text of our own kept on the SIM."""


def is_hex(line: str) -> bool:
    """Return whether a line can be a PDU: pairs of hex digits, no longer than a PDU can be."""
    return (
        0 < len(line) <= _MOST_HEX
        and len(line) % 2 == 0
        and all(letter in "0123456789ABCDEFabcdef" for letter in line)
    )


def tpdu_length(line: str) -> int:
    """Return the TPDU's length in octets, as AT commands count it; negative for a cut-off line.

    The line is hex digits (`is_hex`).
    """
    return len(line) // 2 - 1 - int(line[:2], 16)


def read_pdu(line: str) -> Deliver | StatusReport | OtherPdu:
    """Return what a PDU in hex says.

    Raises:
        MalformedPduError: it is not hex, or breaks the protocol.
    """
    if not is_hex(line):
        raise MalformedPduError("A PDU is written in pairs of hex digits.")
    octets = Octets(bytes.fromhex(line))
    octets.take(octets.one())
    first = octets.one()
    if first & _KIND == _DELIVER:
        return _deliver(octets, has_header=bool(first & _HAS_HEADER))
    if first & _KIND == _REPORT:
        return _report(octets)
    return OtherPdu()


def _deliver(octets: Octets, *, has_header: bool) -> Deliver:
    sender = read_address(octets)
    octets.one()  # TP-PID
    coding = octets.one()
    sent_at = read_time(octets)
    length = octets.one()
    data = read_user_data(octets.rest(), length=length, coding=coding, has_header=has_header)
    return Deliver(sender=sender, sent_at=sent_at, data=data)


def _report(octets: Octets) -> StatusReport:
    reference = octets.one()
    to = read_address(octets)
    sent_at, done_at = read_time(octets), read_time(octets)
    return StatusReport(
        reference=reference, to=to, status=octets.one(), sent_at=sent_at, done_at=done_at
    )
