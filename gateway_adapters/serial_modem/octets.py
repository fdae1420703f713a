"""Reading octets, semi-octets, addresses and time stamps of a TPDU (3GPP TS 23.040, 9.1.2).

Pure. Whatever the octets are, reading them ends in a value or in MalformedPduError.
"""

from datetime import UTC, datetime

from gateway_adapters import gsm7
from gateway_adapters.errors import MalformedPduError

_DIGITS = "0123456789*#abc"  # TS 23.040, 9.1.2.3; fifteen is the filler
_INTERNATIONAL, _ALPHABETIC = 0x10, 0x50
_TYPE = 0x70
_ISDN_INTERNATIONAL, _ISDN_UNKNOWN = 0x91, 0x81
_SIGN = 0x08  # of the zone, in the octet as it travels
_MOST_ADDRESS_DIGITS = 20  # an address has at most 12 octets: TS 23.040, 9.1.2.5


class Octets:
    """Octets that are read from front to back."""

    def __init__(self, octets: bytes) -> None:
        self._octets = octets
        self._place = 0

    def take(self, count: int) -> bytes:
        """Return the next `count` octets.

        Raises:
            MalformedPduError: there are fewer.
        """
        taken = self._octets[self._place : self._place + count]
        if len(taken) < count:
            raise MalformedPduError("The octets end before a field does.")
        self._place += count
        return taken

    def one(self) -> int:
        """Return the next octet.

        Raises:
            MalformedPduError: there is none.
        """
        return self.take(1)[0]

    def rest(self) -> bytes:
        """Return all that is left."""
        return self.take(len(self._octets) - self._place)


def semi_octets(digits: str) -> bytes:
    """Return decimal digits as octets, two in each, the second in the upper half."""
    filled = digits + "F" * (len(digits) % 2)
    return bytes(int(filled[place + 1] + filled[place], 16) for place in range(0, len(filled), 2))


def number_octets(number: str) -> bytes:
    """Return a number as an address field; a leading + makes it international.

    Raises:
        ValueError: it is not 1 to 20 digits.
    """
    digits = number.removeprefix("+")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= _MOST_ADDRESS_DIGITS):
        raise ValueError("A number has 1 to 20 digits, with or without a +.")
    kind = _ISDN_UNKNOWN if digits == number else _ISDN_INTERNATIONAL
    return bytes([len(digits), kind]) + semi_octets(digits)


def read_address(octets: Octets) -> str:
    """Return the address that comes next: +digits, digits as they stand, or a name.

    Raises:
        MalformedPduError: the field is cut off.
    """
    length, kind = octets.one(), octets.one()
    value = octets.take((length + 1) // 2)
    if kind & _TYPE == _ALPHABETIC:
        return _name(value, length)
    halves = (half for octet in value for half in (octet & 0x0F, octet >> 4))
    digits = "".join(_DIGITS[half] for half in halves if half < len(_DIGITS))
    return f"+{digits}" if kind & _TYPE == _INTERNATIONAL else digits


def _name(value: bytes, length: int) -> str:
    letters = 4 * length // 7  # the length counts useful semi-octets: TS 23.040, 9.1.2.5
    name = gsm7.decode(gsm7.unpack(value, letters))
    # Some centres count 7 letters as 14 semi-octets, and the spare bits read as an @.
    return name.removesuffix("@") if 4 * length % 7 == 0 else name


def read_time(octets: Octets) -> datetime | None:
    """Return the time stamp that comes next, in UTC; None where no such time exists.

    Raises:
        MalformedPduError: the field is cut off.
    """
    *halves, zone = octets.take(7)
    year, month, day, hour, minute, second = (f"{octet & 0x0F:X}{octet >> 4:X}" for octet in halves)
    quarters = 10 * (zone & 0x07) + (zone >> 4)  # quarter hours: TS 23.040, 9.2.3.11
    sign = "-" if zone & _SIGN else "+"
    offset = f"{sign}{quarters // 4:02}:{quarters % 4 * 15:02}"
    try:
        local = datetime.fromisoformat(f"20{year}-{month}-{day}T{hour}:{minute}:{second}{offset}")
    except ValueError:
        return None
    return local.astimezone(UTC)
