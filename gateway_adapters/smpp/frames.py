"""Cuts the octets of a connection into PDUs. Pure: no socket, and nothing allocated on a claim.

What is kept is what came in and is not yet a whole PDU: at most one PDU's octets beside the last
read, whatever length a peer claims.
"""

from gateway_adapters.errors import MalformedPduError

SHORTEST = 16  # the header alone (SMPP 3.4, 3.2)
LONGEST = 65_536  # our own limit; the standard sets none
_LENGTH_OCTETS = 4


class Frames:
    """A connection's octets that are not yet a whole PDU."""

    def __init__(self) -> None:
        self._octets = bytearray()

    def feed(self, octets: bytes) -> list[bytes]:
        """Return the PDUs that these octets complete, in order.

        Raises:
            MalformedPduError: A PDU claims a length outside 16 to 65,536: the stream is lost.
                Whole PDUs before it are returned first; the next call raises.
        """
        self._octets += octets
        whole: list[bytes] = []
        at = 0
        while len(self._octets) - at >= _LENGTH_OCTETS:
            length = int.from_bytes(self._octets[at : at + _LENGTH_OCTETS])
            if not SHORTEST <= length <= LONGEST:
                if whole:
                    break
                self._octets.clear()
                raise MalformedPduError("A PDU's length is outside 16 to 65536 octets.")
            if len(self._octets) - at < length:
                break
            whole.append(bytes(self._octets[at : at + length]))
            at += length
        del self._octets[:at]
        return whole

    @property
    def waiting(self) -> int:
        """How many octets are kept."""
        return len(self._octets)
