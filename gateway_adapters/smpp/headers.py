"""User data headers: how the parts of a long text name themselves (TS 23.040, 9.2.3.24). Pure."""

from dataclasses import dataclass

from gateway_adapters.events import Part

CONCATENATION_OCTETS = 6
_CONCAT_8 = 0x00
_CONCAT_16 = 0x08
_LANGUAGE_SHIFTS = frozenset({0x24, 0x25})
_SHORTEST = {_CONCAT_8: 3, _CONCAT_16: 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """A header that came in: its length with the length octet, and what it says.

    `shifted` if the text uses a national table that is not read here.
    """

    octets: int
    part: Part | None = None
    shifted: bool = False


def concatenation(reference: int, *, number: int, total: int) -> bytes:
    """Return the header of a part, with an 8-bit reference (9.2.3.24.1)."""
    return bytes((CONCATENATION_OCTETS - 1, _CONCAT_8, 3, reference, total, number))


def read_header(user_data: bytes) -> Header | None:
    """Return the header at the front of the octets, or None if there is none that fits."""
    if not user_data or user_data[0] >= len(user_data):
        return None
    end = 1 + user_data[0]
    part: Part | None = None
    shifted = False
    at = 1
    while at + 2 <= end:
        element, length = user_data[at], user_data[at + 1]
        value = user_data[at + 2 : at + 2 + length]
        at += 2 + length
        if at > end:
            return None
        if element in _LANGUAGE_SHIFTS:
            shifted = True
        elif len(value) == _SHORTEST.get(element, -1):
            part = as_part(int.from_bytes(value[:-2]), number=value[-1], total=value[-2])
    return Header(octets=end, part=part, shifted=shifted)


def as_part(reference: int, *, number: int, total: int) -> Part | None:
    """Return which part this is; None for the only one, and for numbers that make no sense.

    TS 23.040, 9.2.3.24.1: a number that is zero or above the total is to be ignored.
    """
    if not 1 <= number <= total or total == 1:
        return None
    return Part(reference=reference, number=number, total=total)
