"""Reads what an incoming TPDU carries: header and text (3GPP TS 23.040, 9.2.3.24; TS 23.038, 4).

Pure. What cannot be read is shown as U+FFFD and the text marked lossy; nothing is dropped unseen.
"""

from dataclasses import dataclass

from gateway_adapters import gsm7
from gateway_adapters.errors import MalformedPduError
from gateway_adapters.events import Part
from gateway_adapters.serial_modem import national

_UNREADABLE = "\ufffd"
_SEVEN_BIT, _EIGHT_BIT, _UCS2 = 0, 1, 2
_COMPRESSED = 0x20


@dataclass(frozen=True, slots=True, kw_only=True)
class UserData:
    """A text, or a piece of one; `lossy` where some of it could not be read."""

    text: str
    lossy: bool
    part: Part | None = None


@dataclass(slots=True)
class _Header:
    part: Part | None = None
    locking: int = 0
    single: int = 0
    octets: int = 0  # with its length octet


def read_user_data(octets: bytes, *, length: int, coding: int, has_header: bool) -> UserData:
    """Return the text that the octets behind TP-UDL carry.

    Args:
        octets: what follows TP-UDL; octets after its end are left alone.
        length: TP-UDL: septets where the coding is 7-bit, else octets.
        coding: TP-DCS.
        has_header: TP-UDHI.

    Raises:
        MalformedPduError: the octets are fewer than the length says, or the header is longer.
    """
    alphabet, compressed = _alphabet(coding)
    seven_bit = alphabet == _SEVEN_BIT and not compressed
    size = (7 * length + 7) // 8 if seven_bit else length
    if len(octets) < size:
        raise MalformedPduError("The text is shorter than its length says.")
    data = octets[:size]
    header = _read_header(data) if has_header else _Header()
    body = data[header.octets :]
    if compressed:
        return UserData(text=_UNREADABLE, lossy=True, part=header.part)
    if seven_bit:
        return _seven_bit(body, length, header)
    if alphabet == _UCS2:
        text, lossy = _ucs2(body)
    else:
        text, lossy = _eight_bit(body)
    return UserData(text=text, lossy=lossy, part=header.part)


def _alphabet(coding: int) -> tuple[int, bool]:
    """Return the alphabet and whether the text is compressed (TS 23.038, clause 4)."""
    group = coding >> 4
    if group < 0x8:  # noqa: PLR2004 -- general coding, with and without automatic deletion
        alphabet = (coding >> 2) & 0x03
        return (_SEVEN_BIT if alphabet > _UCS2 else alphabet), bool(coding & _COMPRESSED)
    if group == 0xE:  # noqa: PLR2004 -- messages waiting, UCS-2
        return _UCS2, False
    if group == 0xF:  # noqa: PLR2004 -- coding and class
        return (_EIGHT_BIT if coding & 0x04 else _SEVEN_BIT), False
    return _SEVEN_BIT, False  # reserved groups are read as the default alphabet


def _read_header(data: bytes) -> _Header:
    if not data or data[0] + 1 > len(data):
        raise MalformedPduError("The header is longer than the text.")
    end = data[0] + 1
    header = _Header(octets=end)
    place = 1
    while place + 2 <= end:
        element, size = data[place], data[place + 1]
        value = data[place + 2 : min(place + 2 + size, end)]
        if len(value) < size:
            raise MalformedPduError("An element of the header is cut off.")
        _note(header, element, value)
        place += 2 + size
    return header


def _note(header: _Header, element: int, value: bytes) -> None:
    """Take in an element; of two of a kind the later one counts (TS 23.040, 9.2.3.24)."""
    match element, len(value):
        case (0x00, 3):  # concatenation, and below with a reference of 16 bits
            header.part = _part(value[0], value[1], value[2]) or header.part
        case (0x08, 4):
            reference = int.from_bytes(value[:2], "big")
            header.part = _part(reference, value[2], value[3]) or header.part
        case (0x24, 1):  # national tables: single shift, and below locking shift
            header.single = value[0]
        case (0x25, 1):
            header.locking = value[0]
        case _:
            pass


def _part(reference: int, total: int, number: int) -> Part | None:
    if not 1 <= number <= total:
        return None  # the element is to be ignored: TS 23.040, 9.2.3.24.1
    return Part(reference=reference, number=number, total=total)


def _seven_bit(body: bytes, length: int, header: _Header) -> UserData:
    fill = gsm7.fill_bits(header.octets)
    count = length - (8 * header.octets + fill) // 7
    if count < 0:
        raise MalformedPduError("The header is longer than the text.")
    septets = gsm7.unpack(body, count, fill=fill) if count else b""
    text, known = national.decode(septets, locking=header.locking, single=header.single)
    return UserData(text=text, lossy=not known, part=header.part)


def _ucs2(body: bytes) -> tuple[str, bool]:
    """Read UTF-16; half a surrogate pair and an odd octet at the end are unreadable."""
    even = body[: len(body) // 2 * 2]
    text = even.decode("utf-16-be", errors="surrogatepass")
    whole = "".join(_UNREADABLE if "\ud800" <= letter <= "\udfff" else letter for letter in text)
    odd = len(even) < len(body)
    return whole + _UNREADABLE * odd, odd or whole != text


def _eight_bit(body: bytes) -> tuple[str, bool]:
    """Read ASCII: eight-bit data names no alphabet, so the rest cannot be known."""
    text = "".join(
        chr(octet) if 0x20 <= octet < 0x7F or octet in b"\r\n\t" else _UNREADABLE  # noqa: PLR2004 -- printable ASCII
        for octet in body
    )
    return text, _UNREADABLE in text
