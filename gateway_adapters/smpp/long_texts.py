"""A text as the submit_sm's that carry it. Pure, but for the references that count up."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

from gateway_adapters.contract import Encoding, Segments
from gateway_adapters.smpp import headers
from gateway_adapters.smpp.alphabets import DEFAULT_CODING, UCS2_CODING, Alphabet, encode

UDH_INDICATOR = 0x40  # esm_class (SMPP 3.4, 5.2.12)
_REFERENCES = 256
_REMEMBERED = 20_000  # destinations


class Long(StrEnum):
    """How the parts of a long text travel."""

    UDH = "udh"
    SAR = "sar"
    PAYLOAD = "payload"


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What one submit_sm carries; `text` is what a phone would show of it."""

    text: str
    octets: bytes
    data_coding: int
    esm_class: int = 0
    parameters: dict[str, int | bytes] = field(default_factory=dict)


class References:
    """The references of long texts, counted up for each destination.

    A random one would meet another of the last twenty at even odds. The count starts anywhere, so
    that a restart does not give the last text's reference again.
    """

    def __init__(self, start: Callable[[], int]) -> None:
        self._start = start
        self._last: OrderedDict[str, int] = OrderedDict()

    def next(self, destination: str) -> int:
        """Return the next reference for a destination, 0 to 255."""
        before = self._last.pop(destination, None)
        reference = (self._start() if before is None else before + 1) % _REFERENCES
        self._last[destination] = reference
        if len(self._last) > _REMEMBERED:
            self._last.popitem(last=False)
        return reference


def bodies(
    segments: Segments, alphabet: Alphabet, long: Long, *, reference: Callable[[], int]
) -> tuple[Body, ...]:
    """Return what the submit_sm's of a text carry, in order; a long one asks for its reference.

    Raises:
        NotEncodableError: The encoding, or the centre's alphabet, lacks a character.
    """
    parts, coding = segments.parts, _coding(segments.encoding)
    if len(parts) == 1:
        octets = encode(parts[0], segments.encoding, alphabet)
        return (Body(text=parts[0], octets=octets, data_coding=coding),)
    if long is Long.PAYLOAD:
        text = "".join(parts)
        payload = encode(text, segments.encoding, alphabet)
        return (
            Body(
                text=text, octets=b"", data_coding=coding, parameters={"message_payload": payload}
            ),
        )
    header = headers.CONCATENATION_OCTETS if long is Long.UDH else 0
    pieces = [encode(part, segments.encoding, alphabet, header=header) for part in parts]
    number = reference()
    if long is Long.UDH:
        return tuple(
            Body(
                text=part,
                octets=headers.concatenation(number, number=place, total=len(parts)) + octets,
                data_coding=coding,
                esm_class=UDH_INDICATOR,
            )
            for place, (part, octets) in enumerate(zip(parts, pieces, strict=True), 1)
        )
    return tuple(
        Body(
            text=part,
            octets=octets,
            data_coding=coding,
            parameters={
                "sar_msg_ref_num": number,
                "sar_total_segments": len(parts),
                "sar_segment_seqnum": place,
            },
        )
        for place, (part, octets) in enumerate(zip(parts, pieces, strict=True), 1)
    )


def _coding(encoding: Encoding) -> int:
    return UCS2_CODING if encoding is Encoding.UCS2 else DEFAULT_CODING
