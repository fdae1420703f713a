"""Checks a PDU field by field before the codec reads it (SMPP 3.4, 4; C strings 3.1).

The codec trusts its input: it reads past a missing NUL, believes any sm_length, and fails on a
parameter that it does not know, does not expect in this PDU, or finds in an unusual length. So a
PDU is handed on only when each field ends inside it, and without the parameters it cannot read.
"""

from collections.abc import Iterator
from struct import Struct

from smpplib import command, consts
from smpplib.ptypes import ostr

from gateway_adapters.errors import MalformedPduError
from gateway_adapters.smpp.commands import Command

HEADER = Struct(">LLLL")  # length, command, status, sequence
_TLV_HEADER = Struct(">HH")
_ADDRESS = "11s"  # type of number, numbering plan, digits
# s: C string; 1: one octet; t: an octet of length and so many octets
_BODIES = {
    Command.DELIVER_SM: ("s" + 2 * _ADDRESS + "111ss1111t", command.DeliverSM),
    Command.SUBMIT_SM_RESP: ("s", command.SubmitSMResp),
    Command.QUERY_SM_RESP: ("ss11", command.QuerySMResp),
    Command.BIND_RECEIVER_RESP: ("s", command.BindReceiverResp),
    Command.BIND_TRANSMITTER_RESP: ("s", command.BindTransmitterResp),
    Command.BIND_TRANSCEIVER_RESP: ("s", command.BindTransceiverResp),
}
_NAMES = {tag: name for name, tag in consts.OPTIONAL_PARAMS.items()}


def readable(pdu: bytes) -> bytes:
    """Return the PDU without the parameters that the codec cannot read.

    An answer may lack its body, as one with an error often does.

    Raises:
        MalformedPduError: A field does not end inside the PDU, or the PDU is of a kind that has
            no body to read here.
    """
    kind = int.from_bytes(pdu[4:8])
    if kind not in _BODIES:
        raise MalformedPduError("This kind of PDU has no body that is read.")
    if len(pdu) == HEADER.size and kind != Command.DELIVER_SM:
        return pdu
    fields, reader = _BODIES[Command(kind)]
    at = HEADER.size
    for field in fields:
        at = _end(field, pdu, at)
    if at == len(pdu):
        return pdu
    kept = b"".join(_kept_parameters(pdu, at, reader.params))
    return HEADER.pack(at + len(kept), *HEADER.unpack_from(pdu)[1:]) + pdu[HEADER.size : at] + kept


def _end(field: str, pdu: bytes, at: int) -> int:
    if field == "s":
        end = pdu.find(b"\0", at) + 1
    elif field == "1":
        end = at + 1
    else:
        end = at + 1 + pdu[at] if at < len(pdu) else 0
    if not at < end <= len(pdu):
        raise MalformedPduError("A field does not end inside its PDU.")
    return end


def _kept_parameters(pdu: bytes, at: int, known: dict[str, command.Param]) -> Iterator[bytes]:
    while at < len(pdu):
        start = at + _TLV_HEADER.size
        if start > len(pdu):
            if any(pdu[at:]):
                raise MalformedPduError("There are odd octets behind the last parameter.")
            return  # some centres pad with NULs; common practice, no source
        tag, length = _TLV_HEADER.unpack_from(pdu, at)
        at = start + length
        if at > len(pdu):
            raise MalformedPduError("A parameter does not end inside its PDU.")
        yield _kept(tag, pdu[start:at], known.get(_NAMES.get(tag, "")))


def _kept(tag: int, value: bytes, parameter: command.Param | None) -> bytes:
    """Return the parameter as the codec reads it rightly, or nothing."""
    if parameter is None or not value:
        return b""
    if parameter.type is int:
        if len(value) != parameter.size:
            return b""
    elif parameter.type is str:
        value = value.rstrip(b"\0") + b"\0"  # the codec cuts the last octet off, NUL or not
    elif parameter.type is not ostr:
        return b""
    return _TLV_HEADER.pack(tag, len(value)) + value
