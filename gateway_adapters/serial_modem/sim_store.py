"""Reads, deletes and counts what lies on the SIM (3GPP TS 27.005, 3.4 and 3.2.2)."""

import re
from dataclasses import dataclass

from gateway_adapters.serial_modem.faults import RefusedError
from gateway_adapters.serial_modem.link import Link
from gateway_adapters.serial_modem.sorting import Sorted

_PLACE = re.compile(r"\+CMGL: ?([0-9]{1,4}),")
_USAGE = re.compile(r'\+CPMS: ?(?:"[A-Z]{2}", ?)?([0-9]{1,4}), ?([0-9]{1,4})')
_LIST_S = 20.0  # a full SIM is some ten kilobytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Usage:
    """How many places of the SIM are taken, of how many."""

    used: int
    total: int


def read_all(link: Link) -> list[tuple[int, str]]:
    """Return each place on the SIM that is taken, with its PDU in hex.

    Raises:
        LinkError: the modem refused, was silent or broke off.
    """
    rows = link.ask("AT+CMGL=4", info="+CMGL:", wait_s=_LIST_S)
    return [
        (int(found[1]), row.pdu) for row in rows if row.pdu and (found := _PLACE.match(row.text))
    ]


def read_one(link: Link, place: int, *, wait_s: float) -> str | None:
    """Return the PDU at a place in hex; None where the place is free.

    Raises:
        LinkError: the modem was silent or broke off.
    """
    try:
        rows = link.ask(f"AT+CMGR={place}", info="+CMGR:", wait_s=wait_s)
    except RefusedError:
        return None  # read and deleted before
    return rows[0].pdu if rows and rows[0].pdu else None


def delete(link: Link, place: int, *, wait_s: float) -> bool:
    """Free a place; return whether the modem did.

    Raises:
        LinkError: the modem was silent or broke off.
    """
    try:
        link.ask(f"AT+CMGD={place}", wait_s=wait_s)
    except RefusedError:
        return False
    return True


def read_usage(rows: list[Sorted]) -> Usage | None:
    """Return what the first answer to AT+CPMS says of the store that is read."""
    found = _USAGE.match(rows[0].text) if rows else None
    return None if found is None else Usage(used=int(found[1]), total=int(found[2]))
