"""Split a text into the parts that travel (3GPP TS 23.038 and 23.040).

Pure, one pass. Parts are counted by splitting and never by division, because a seam that would
cut a pair leaves a unit unused.
"""

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding, Segments
from gateway_adapters.errors import NotEncodableError

MAX_PARTS = 255  # the header's part number is one octet
_LAST_IN_ONE_UNIT = "\uffff"


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The units that fit into a text of one part, and into each of several."""

    alone: int
    each: int


ROOM = {  # TS 23.040, 9.2.3.24.1: the header with an 8-bit reference takes 6 of 140 octets
    Encoding.GSM7: Room(alone=160, each=153),
    Encoding.UCS2: Room(alone=70, each=67),
}


def split(text: str) -> Segments:
    """Return the text's encoding, its length in units, and its parts, which join to the text.

    One character outside the GSM alphabet makes the whole text UCS-2. Units are septets or
    16-bit units. An escape pair or a surrogate pair is never split; a combining mark stays with
    its base unless the two together are longer than a part.

    Raises:
        ValueError: The text is empty, or takes more than 255 parts.
        NotEncodableError: The text holds half a surrogate pair.
    """
    if not text:
        raise ValueError("There is no text to split; give at least one character.")
    if gsm7.is_gsm7(text):
        encoding, length = Encoding.GSM7, gsm7.septets_of(text)
    else:
        encoding, length = Encoding.UCS2, _utf16_units(text)
    room = ROOM[encoding]
    if length <= room.alone:
        parts = [text]
    elif encoding is Encoding.GSM7:
        parts = _pour(((character, _septets(character)) for character in text), each=room.each)
    else:
        parts = _pour(_clusters(text, each=room.each), each=room.each)
    if len(parts) > MAX_PARTS:
        raise ValueError(f"The text takes {len(parts)} parts; shorten it to {MAX_PARTS} or fewer.")
    return Segments(encoding=encoding, length=length, parts=tuple(parts))


def _pour(pieces: Iterable[tuple[str, int]], *, each: int) -> list[str]:
    """Return the parts that whole pieces, given with their units, fill in order."""
    parts: list[str] = []
    part: list[str] = []
    used = 0
    for piece, units in pieces:
        if used + units > each:
            parts.append("".join(part))
            part, used = [], 0
        part.append(piece)
        used += units
    parts.append("".join(part))
    return parts


def _clusters(text: str, *, each: int) -> Iterator[tuple[str, int]]:
    """Yield each base with its combining marks, or one by one where they outgrow a part."""
    cluster: list[tuple[str, int]] = []
    for character in text:
        if cluster and not unicodedata.category(character).startswith("M"):
            yield from _whole_or_apart(cluster, each=each)
            cluster = []
        cluster.append((character, _units(character)))
    yield from _whole_or_apart(cluster, each=each)


def _whole_or_apart(cluster: list[tuple[str, int]], *, each: int) -> list[tuple[str, int]]:
    units = sum(width for _, width in cluster)
    if units > each:
        return cluster
    return [("".join(character for character, _ in cluster), units)]


def _septets(character: str) -> int:
    return 2 if character in gsm7.EXTENSION else 1


def _units(character: str) -> int:
    return 2 if character > _LAST_IN_ONE_UNIT else 1


def _utf16_units(text: str) -> int:
    try:
        return len(text.encode("utf-16-le")) // 2
    except UnicodeEncodeError as half:
        raise NotEncodableError(text[half.start], half.start) from half
