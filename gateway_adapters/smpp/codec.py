"""PDUs as values: octets in, values out, and back. Pure.

smpplib does the coding; what it does not check is checked by `layout` before and by whoever makes
the values.
"""

import struct
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from smpplib import exceptions, pdu, smpp

from gateway_adapters.errors import MalformedPduError
from gateway_adapters.smpp.addresses import Address
from gateway_adapters.smpp.blanks import NO_CLIENT, fresh
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.layout import HEADER, readable

_SEQUENCE_AT = 12  # the last four octets of the header
LONGEST_ID = 64  # octets of a message id (SMPP 3.4, 5.2.23)
_CODEC_FAULTS = (
    struct.error, KeyError, IndexError, TypeError, ValueError, AttributeError,
    exceptions.UnknownCommandError, exceptions.PDUError,
)  # fmt: skip


class Delivery(NamedTuple):
    """What a deliver_sm holds; `text` is from short_message or message_payload."""

    source: Address
    destination: Address
    esm_class: int
    data_coding: int
    text: bytes
    receipted_id: str | None = None
    message_state: int | None = None
    sar: tuple[int, int, int] | None = None  # reference, number, total


class Pdu(NamedTuple):
    """A PDU that came in; what its kind does not have is None.

    `unreadable` says that the body is not what the kind asks for.
    """

    command: int
    status: int
    sequence: int
    message_id: str | None = None
    message_state: int | None = None
    error_code: int | None = None
    delivery: Delivery | None = None
    unreadable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Submit:
    """One submit_sm; `parameters` are smpplib's names of optional parameters."""

    source: Address
    destination: Address
    octets: bytes
    data_coding: int = 0
    esm_class: int = 0
    registered_delivery: int = 0
    validity_period: str = ""
    service_type: str = ""
    parameters: dict[str, int | bytes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bind:
    """Who signs in, and as what."""

    command: Command
    system_id: str
    password: str = field(repr=False)
    system_type: str = ""


def read(octets: bytes) -> Pdu:
    """Return the PDU; one whose body cannot be read is marked so and has its header alone.

    Raises:
        MalformedPduError: There is not even a header.
    """
    if len(octets) < HEADER.size:
        raise MalformedPduError("A PDU is shorter than its header.")
    _, command, status, sequence = HEADER.unpack_from(octets)
    reader = _READERS.get(command)
    if reader is None:
        return Pdu(command=command, status=status, sequence=sequence)
    try:
        body = fresh(command)
        body.parse(readable(octets))
        return reader(command, body)
    except (MalformedPduError, *_CODEC_FAULTS):
        return Pdu(command=command, status=status, sequence=sequence, unreadable=True)


def write_submit(submit: Submit, *, sequence: int) -> bytes:
    """Return a submit_sm (SMPP 3.4, 4.4.1).

    The octets go into short_message, or into message_payload if `parameters` hold one.
    """
    return _write(
        "submit_sm",
        sequence,
        service_type=submit.service_type,
        source_addr_ton=submit.source.ton,
        source_addr_npi=submit.source.npi,
        source_addr=submit.source.digits,
        dest_addr_ton=submit.destination.ton,
        dest_addr_npi=submit.destination.npi,
        destination_addr=submit.destination.digits,
        esm_class=submit.esm_class,
        validity_period=submit.validity_period,
        registered_delivery=submit.registered_delivery,
        data_coding=submit.data_coding,
        short_message=submit.octets,
        **submit.parameters,
    )


def write_bind(bind: Bind, *, sequence: int) -> bytes:
    """Return one of the three binds, for version 3.4 (SMPP 3.4, 4.1)."""
    return _write(
        bind.command.name.lower(),
        sequence,
        system_id=bind.system_id,
        password=bind.password,
        system_type=bind.system_type,
    )


def write_query(message_id: str, source: Address, *, sequence: int) -> bytes:
    """Return a query_sm (SMPP 3.4, 4.8.1); the source has to be the submit's."""
    return _write(
        "query_sm",
        sequence,
        message_id=message_id,
        source_addr_ton=source.ton,
        source_addr_npi=source.npi,
        source_addr=source.digits,
    )


def write_plain(command: Command, *, sequence: int, status: int = 0) -> bytes:
    """Return a PDU without a body of ours: a question, an answer or a refusal."""
    written = _plain(command, status)
    return written[:_SEQUENCE_AT] + sequence.to_bytes(4) + written[HEADER.size :]


@cache
def _plain(command: Command, status: int) -> bytes:
    return _write(command.name.lower(), 0, status=status)


def _write(name: str, sequence: int, **fields: object) -> bytes:
    written = smpp.make_pdu(name, client=NO_CLIENT, sequence=0, **fields)
    written.sequence = sequence
    return bytes(written.generate())


def _answer(command: int, body: pdu.PDU) -> Pdu:
    message_id = _word(getattr(body, "message_id", None))
    if message_id is not None and len(message_id) > LONGEST_ID:
        raise MalformedPduError("A message id is longer than 64 octets.")
    return Pdu(
        command=command,
        status=body.status,
        sequence=body.sequence,
        message_id=message_id,
        message_state=getattr(body, "message_state", None),
        error_code=getattr(body, "error_code", None),
    )


def _delivery(command: int, body: pdu.PDU) -> Pdu:
    sar = (body.sar_msg_ref_num, body.sar_segment_seqnum, body.sar_total_segments)
    return Pdu(
        command=command,
        status=body.status,
        sequence=body.sequence,
        delivery=Delivery(
            source=Address(
                ton=body.source_addr_ton,
                npi=body.source_addr_npi,
                digits=_word(body.source_addr) or "",
            ),
            destination=Address(
                ton=body.dest_addr_ton,
                npi=body.dest_addr_npi,
                digits=_word(body.destination_addr) or "",
            ),
            esm_class=body.esm_class,
            data_coding=body.data_coding,
            text=bytes(body.short_message or body.message_payload or b""),
            receipted_id=_word(body.receipted_message_id),
            message_state=body.message_state,
            sar=None if None in sar else sar,
        ),
    )


def _word(octets: bytes | None) -> str | None:
    return None if octets is None else octets.decode("latin-1")


_READERS = {
    Command.DELIVER_SM: _delivery,
    Command.SUBMIT_SM_RESP: _answer,
    Command.QUERY_SM_RESP: _answer,
    Command.BIND_RECEIVER_RESP: _answer,
    Command.BIND_TRANSMITTER_RESP: _answer,
    Command.BIND_TRANSCEIVER_RESP: _answer,
}
