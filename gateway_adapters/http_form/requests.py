"""Messages to requests: what is refused before it leaves, and the octets of the rest. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from urllib.parse import quote

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding, Outgoing, Rejected, RejectKind, Scope
from gateway_adapters.http_form.body import message_values
from gateway_adapters.http_form.sending_settings import SendingSettings

Item = tuple[int, Outgoing, float]
"""A message with its place in the batch before it, and the seconds left of its life behind it."""

_MINUTE_S = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """One request: its messages, each with its place in the batch and its life, and its octets."""

    items: tuple[Item, ...] = field(repr=False)
    content: bytes = field(repr=False)
    headers: Mapping[str, str]


def refusal(message: Outgoing, settings: SendingSettings, *, left_s: float) -> Rejected | None:
    """Return why a message cannot be sent at all, or None; `left_s` is what is left of its life."""
    segments = message.segments
    least_s = _MINUTE_S if settings.validity == "minutes-left" else 1
    # A whole number of seconds or minutes is what the wire carries; none left means none.
    if left_s <= 0 or (settings.validity.endswith("-left") and left_s < least_s):
        return _never("validity-over", "The message's validity is over.")
    if not message.text or "".join(segments.parts) != message.text:
        return _never("parts-differ", "The parts do not join to the text.")
    if segments.encoding not in settings.encodings or not _encodable(message):
        return _never("not-encodable", "The text is not in the alphabet that was chosen for it.")
    if len(segments.parts) > settings.max_segments:
        return _never("too-many-parts", "The text takes more parts than this route carries.")
    return None


def prepare(batch: Sequence[Item], settings: SendingSettings, *, size: int) -> list[Prepared]:
    """Return the requests for a batch, at most `size` messages in each."""
    return [_request(batch[at : at + size], settings) for at in range(0, len(batch), size)]


def _request(chunk: Sequence[Item], settings: SendingSettings) -> Prepared:
    values = [
        message_values(
            message,
            to=message.to.removeprefix("+") if settings.digits_only else message.to,
            validity=settings.validity,
            left_s=left_s,
        )
        for _, message, left_s in chunk
    ]
    several = settings.batch_size > 1
    return Prepared(
        items=tuple(chunk),
        content=settings.body.several(values) if several else settings.body.one(values[0]),
        headers=(
            {}
            if settings.idempotency_header is None or several
            else {settings.idempotency_header: quote(chunk[0][1].token, safe="")}
        ),
    )


def not_sent(detail: str) -> Rejected:
    """Return the outcome of what has certainly not left."""
    return Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="not-sent", detail=detail)


def _encodable(message: Outgoing) -> bool:
    if message.segments.encoding is Encoding.GSM7:
        return gsm7.is_gsm7(message.text)
    return not any("\ud800" <= character <= "\udfff" for character in message.text)


def _never(code: str, detail: str) -> Rejected:
    return Rejected(kind=RejectKind.PERMANENT, code=code, detail=detail)
