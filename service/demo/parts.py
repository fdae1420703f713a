"""Pieces of long texts in a message centre's log, put together again."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

_REFERENCE_8, _REFERENCE_16 = 0x00, 0x08  # 3GPP TS 23.040, 9.2.3.24


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A submit as the centre wrote it down; `total` is 1 for a text in one piece."""

    gateway_id: str
    to: str
    text: str
    reference: int
    number: int
    total: int

    @classmethod
    def of(cls, item: Mapping[str, object]) -> "Piece":
        """Read one line of the log."""
        reference, total, number = _concatenation(bytes.fromhex(str(item.get("udh", ""))))
        return cls(
            gateway_id=str(item["id"]),
            to=str(item["to"]),
            text=str(item["text"]),
            reference=reference,
            number=number,
            total=total,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A text with the ids of its pieces, in their order."""

    ids: tuple[str, ...]
    text: str


def joined(pieces: Iterable[Piece]) -> list[Whole]:
    """Return the whole texts, each where its last piece came; what lacks a piece is left out."""
    found: list[Whole] = []
    open_: dict[tuple[str, int, int], dict[int, Piece]] = {}
    for piece in pieces:
        if piece.total == 1:
            found.append(Whole(ids=(piece.gateway_id,), text=piece.text))
            continue
        key = (piece.to, piece.reference, piece.total)
        own = open_.setdefault(key, {})
        own[piece.number] = piece
        if len(own) == piece.total:
            ordered = [own[number] for number in sorted(own)]
            found.append(
                Whole(
                    ids=tuple(part.gateway_id for part in ordered),
                    text="".join(part.text for part in ordered),
                )
            )
            del open_[key]
    return found


def _concatenation(header: bytes) -> tuple[int, int, int]:
    # with or without the octet in front that says how long the header is
    at = 1 if header and header[0] == len(header) - 1 else 0
    while at + 1 < len(header):
        kind, length = header[at], header[at + 1]
        value = header[at + 2 : at + 2 + length]
        if kind == _REFERENCE_8 and length == len(value) == 3:  # noqa: PLR2004 -- the element's own length
            return value[0], value[1], value[2]
        if kind == _REFERENCE_16 and length == len(value) == 4:  # noqa: PLR2004 -- the element's own length
            return value[0] * 256 + value[1], value[2], value[3]
        at += 2 + length
    return 0, 1, 1
