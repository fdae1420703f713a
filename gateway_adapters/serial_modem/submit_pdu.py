"""Writes the TPDU that sends a text (SMS-SUBMIT, 3GPP TS 23.040, 9.2.2.2). Pure."""

from dataclasses import dataclass

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding
from gateway_adapters.events import Part
from gateway_adapters.serial_modem.octets import number_octets

MOST_OCTETS = 140  # of user data: TS 23.040, 9.2.3.24
_SUBMIT, _RELATIVE_VALIDITY, _REPORT_ASKED, _HAS_HEADER = 0x01, 0x10, 0x20, 0x40
_CODING = {Encoding.GSM7: 0x00, Encoding.UCS2: 0x08}
_OWN_CENTRE = "00"  # no centre's address: the one kept on the SIM serves


@dataclass(frozen=True, slots=True, kw_only=True)
class Submit:
    """One part of a text on its way out.

    Attributes:
        validity: the octet of `relative_validity`; None lets the network choose.
        part: None where the text is whole; its reference fits one octet.
        message_reference: a modem overwrites it with its own count.
    """

    to: str
    text: str
    encoding: Encoding
    validity: int | None
    want_receipt: bool = True
    part: Part | None = None
    message_reference: int = 0


def encode_submit(submit: Submit) -> bytes:
    """Return the TPDU.

    Raises:
        ValueError: the number is none, or the text does not fit into one part.
        NotEncodableError: a character is not in the GSM alphabet though the text is said to be.
    """
    header = b"" if submit.part is None else _header(submit.part)
    length, user_data = _user_data(submit, header)
    if len(user_data) > MOST_OCTETS:
        raise ValueError(f"A part has at most {MOST_OCTETS} octets.")
    first = (
        _SUBMIT
        | (_RELATIVE_VALIDITY if submit.validity is not None else 0)
        | (_REPORT_ASKED if submit.want_receipt else 0)
        | (_HAS_HEADER if header else 0)
    )
    return (
        bytes([first, submit.message_reference])
        + number_octets(submit.to)
        + bytes([0, _CODING[submit.encoding]])
        + (b"" if submit.validity is None else bytes([submit.validity]))
        + bytes([length])
        + user_data
    )


def hex_line(tpdu: bytes) -> str:
    """Return what the modem is given after its prompt: no centre's address, then the TPDU."""
    return _OWN_CENTRE + tpdu.hex().upper()


def _header(part: Part) -> bytes:
    return bytes([5, 0, 3, part.reference, part.total, part.number])  # TS 23.040, 9.2.3.24.1


def _user_data(submit: Submit, header: bytes) -> tuple[int, bytes]:
    if submit.encoding is Encoding.UCS2:
        octets = header + submit.text.encode("utf-16-be")
        return len(octets), octets
    septets = gsm7.encode(submit.text)
    fill = gsm7.fill_bits(len(header))
    before = (8 * len(header) + fill) // 7  # septets that the header takes up
    return before + len(septets), header + gsm7.pack(septets, fill=fill)
