"""What a connection has still to write, and which submits of it have certainly not left. Pure."""

from collections import deque
from dataclasses import dataclass


@dataclass(slots=True, eq=False)
class _Chunk:
    octets: bytes
    submit: int | None
    started: bool = False


class WriteQueue:
    """PDUs in the order in which they leave."""

    def __init__(self) -> None:
        self._chunks: deque[_Chunk] = deque()

    def __len__(self) -> int:
        return len(self._chunks)

    def put(self, octets: bytes, *, submit: int | None = None) -> None:
        """Append a PDU; `submit` is its sequence number if it is a submit_sm."""
        self._chunks.append(_Chunk(octets, submit))

    def octets(self) -> bytes:
        """Return everything that is to be written."""
        return b"".join(chunk.octets for chunk in self._chunks)

    def left(self, count: int) -> None:
        """Note that so many octets have left."""
        while count:
            chunk = self._chunks[0]
            if count < len(chunk.octets):
                chunk.octets, chunk.started = chunk.octets[count:], True
                return
            count -= len(chunk.octets)
            self._chunks.popleft()

    def perhaps_left(self) -> None:
        """Note that any of it may have left in part, as under TLS."""
        for chunk in self._chunks:
            chunk.started = True

    def withdraw_submits(self) -> list[int]:
        """Take out the submits of which no octet has left; return their numbers, last first."""
        unsent = [c for c in self._chunks if c.submit is not None and not c.started]
        self._chunks = deque(c for c in self._chunks if c not in unsent)
        return [chunk.submit for chunk in reversed(unsent) if chunk.submit is not None]
