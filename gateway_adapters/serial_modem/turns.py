"""One text's turn at the modem, and what is refused before it gets one."""

from collections import OrderedDict
from dataclasses import dataclass, field
from secrets import SystemRandom

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding, Outcome, Outgoing, Rejected, RejectKind
from gateway_adapters.events import Part
from gateway_adapters.serial_modem.submit_pdu import Submit, encode_submit
from gateway_adapters.serial_modem.validity import LEAST_S, relative_validity

_MOST_NUMBERS = 10_000
_REFERENCES = 256


@dataclass(slots=True)
class Turn:
    """A text on its way through the modem.

    Attributes:
        id: unique also over restarts.
        valid_until: by the monotonic clock, in seconds.
        reference: the same in all parts of a long text.
        gateway_ids: of the parts taken so far.
        tries: of the part under way.
        not_before: by the monotonic clock; a part that was refused waits until then.
        has_left: some octet may be on the air.
        outcome: what the caller is told, or was told.
    """

    id: str
    message: Outgoing
    valid_until: float
    reference: int
    gateway_ids: list[str] = field(default_factory=list)
    tries: int = 0
    not_before: float = 0.0
    has_left: bool = False
    outcome: Outcome | None = None

    @property
    def total(self) -> int:
        """How many parts the text has."""
        return len(self.message.segments.parts)

    @property
    def number(self) -> int:
        """Which part comes next, from 1."""
        return len(self.gateway_ids) + 1


def next_tpdu(turn: Turn, *, now: float) -> bytes | None:
    """Return the TPDU of the next part; None where too little is left of the validity.

    Args:
        turn: a text that `refusal_of` let pass.
        now: by the monotonic clock.
    """
    validity = relative_validity(turn.valid_until - now)
    if validity is None:
        return None
    message = turn.message
    part = Part(reference=turn.reference, number=turn.number, total=turn.total)
    return encode_submit(
        Submit(
            to=message.to,
            text=message.segments.parts[turn.number - 1],
            encoding=message.segments.encoding,
            validity=validity,
            want_receipt=message.want_receipt,
            part=part if turn.total > 1 else None,
        )
    )


def refusal_of(message: Outgoing, *, valid_s: float) -> Rejected | None:
    """Return why a text cannot be sent whatever the modem does; None where it can.

    Args:
        message: the text.
        valid_s: how many seconds of its validity are left.
    """
    segments = message.segments
    if valid_s < LEAST_S:
        return validity_over()
    if not message.text or "".join(segments.parts) != message.text:
        return _never("parts-differ", "The parts do not join to the text.")
    if segments.encoding is Encoding.GSM7 and not gsm7.is_gsm7(message.text):
        return _never("not-encodable", "The text is not in the GSM alphabet.")
    try:
        for number, text in enumerate(segments.parts, 1):
            part = Part(reference=0, number=number, total=len(segments.parts))
            encode_submit(
                Submit(
                    to=message.to,
                    text=text,
                    encoding=segments.encoding,
                    validity=0,
                    part=part if part.total > 1 else None,
                )
            )
    except UnicodeEncodeError:
        return _never("not-encodable", "The text holds half a character.")
    except ValueError:
        return _never("not-sendable", "The number is none, or a part is too long or has no place.")
    return None


def validity_over() -> Rejected:
    """Return the outcome of a text with less validity than the wire can carry."""
    return _never("validity-over", "Less than five minutes of the message's validity are left.")


class References:
    """Gives each long text to a number another reference than the ones before it (0 to 255).

    It counts a number's texts, for a reference drawn by lot comes twice soon. The start is drawn,
    so that a restart does not begin where a half-arrived text of before did.
    """

    def __init__(self) -> None:
        self._last: OrderedDict[str, int] = OrderedDict()
        self._lot = SystemRandom()

    def next_for(self, number: str) -> int:
        """Return the reference for the next text to a number."""
        last = self._last.pop(number, None)
        reference = self._lot.randrange(_REFERENCES) if last is None else (last + 1) % _REFERENCES
        self._last[number] = reference
        if len(self._last) > _MOST_NUMBERS:
            self._last.popitem(last=False)
        return reference


def _never(code: str, detail: str) -> Rejected:
    return Rejected(kind=RejectKind.PERMANENT, code=code, detail=detail)
