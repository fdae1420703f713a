"""Texts as the octets of a short message, and back. Pure; a text is carried whole or refused.

SMPP 3.4, 5.2.19: data_coding 0 is the centre's default alphabet, which differs from centre to
centre; 1 is ASCII, 3 Latin-1, 8 UCS-2. Here 0 stands for what the route's setting says.
"""

from dataclasses import dataclass
from enum import StrEnum

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding
from gateway_adapters.errors import NotEncodableError

DEFAULT_CODING = 0
UCS2_CODING = 8
_CODECS = {1: "ascii", 3: "latin-1", UCS2_CODING: "utf-16-be"}
_CR = b"\r"
_OCTET_BITS = 8


class Alphabet(StrEnum):
    """What a centre takes data_coding 0 for."""

    GSM7 = "gsm7"
    GSM7_PACKED = "gsm7-packed"
    LATIN1 = "latin1"
    ASCII = "ascii"


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A text that came in; `lossy` if some octets could not be read."""

    text: str
    lossy: bool = False


def encode(text: str, encoding: Encoding, alphabet: Alphabet, *, header: int = 0) -> bytes:
    """Return the text's octets; a header of so many octets will stand before them.

    Raises:
        NotEncodableError: The encoding, or the centre's alphabet, lacks a character.
    """
    if encoding is Encoding.UCS2:
        return _through(text, "utf-16-be")
    septets = gsm7.encode(text)  # also refuses what Latin-1 has and a phone has not
    match alphabet:
        case Alphabet.GSM7:
            return septets
        case Alphabet.GSM7_PACKED:
            return _packed(septets, fill=gsm7.fill_bits(header) if header else 0)
        case Alphabet.LATIN1:
            return _through(text, "latin-1")
        case Alphabet.ASCII:
            return _through(text, "ascii")


def decode(octets: bytes, data_coding: int, alphabet: Alphabet, *, header: int = 0) -> Read:
    """Return the text of octets that stood behind a header of so many octets.

    Every octet string has a reading; what is no text of a known coding is read as the default
    alphabet and marked lossy.
    """
    kind = _alphabet_of(data_coding)
    if kind in _CODECS:
        return _read(octets, _CODECS[kind])
    read = _read_default(octets, alphabet, header=header)
    return read if kind == DEFAULT_CODING else Read(text=read.text, lossy=True)


def _through(text: str, codec: str) -> bytes:
    try:
        return text.encode(codec)
    except UnicodeEncodeError as outside:
        raise NotEncodableError(text[outside.start], outside.start) from outside


def _packed(septets: bytes, *, fill: int) -> bytes:
    """Pack; seven spare bits are a CR, for zeros would read as a letter.

    The octets' number alone is told, so a reader takes seven spare bits for a septet. TS 23.038,
    6.1.2.3.1 has the same remedy for the same want.
    """
    if (fill + 7 * len(septets)) % _OCTET_BITS == 1:
        septets += _CR
    return gsm7.pack(septets, fill=fill)


def _alphabet_of(data_coding: int) -> int | None:
    """Return 0, 1, 3 or 8, or None for what is no text; message classes are let through."""
    if data_coding in {DEFAULT_CODING, *_CODECS}:
        return data_coding
    if data_coding & 0xFC in {0x10, 0xF0}:  # a class, 7 bits (TS 23.038, 4)
        return DEFAULT_CODING
    if data_coding & 0xFC == 0x18:  # noqa: PLR2004 -- a class, UCS-2 (TS 23.038, 4)
        return UCS2_CODING
    return None


def _read(octets: bytes, codec: str) -> Read:
    try:
        return Read(text=octets.decode(codec))
    except UnicodeDecodeError:
        return Read(text=octets.decode(codec, errors="replace"), lossy=True)


def _read_default(octets: bytes, alphabet: Alphabet, *, header: int) -> Read:
    match alphabet:
        case Alphabet.GSM7:
            lossy = any(octet > 0x7F for octet in octets)  # noqa: PLR2004 -- seven bits
            return Read(text=gsm7.decode(octets), lossy=lossy)
        case Alphabet.GSM7_PACKED:
            fill = gsm7.fill_bits(header) if header else 0
            count = max(0, (_OCTET_BITS * len(octets) - fill) // 7)
            septets = gsm7.unpack(octets, count, fill=fill)
            if (fill + 7 * count) % _OCTET_BITS == 0:
                septets = septets.removesuffix(_CR)
            return Read(text=gsm7.decode(septets))
        case Alphabet.LATIN1:
            return _read(octets, "latin-1")
        case Alphabet.ASCII:
            return _read(octets, "ascii")
