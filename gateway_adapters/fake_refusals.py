"""What the fake gateway refuses before anything leaves: it is certainly not sent."""

from collections.abc import Collection
from datetime import datetime

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding, Outgoing, Rejected, RejectKind, Scope
from gateway_adapters.segments import MAX_PARTS


def refusal_of(
    message: Outgoing, *, numbers: Collection[str] | None, now: datetime
) -> Rejected | None:
    """Return why a message is refused for good, None where it is not; `numbers` None: all."""
    segments = message.segments
    if numbers is not None and message.to not in numbers:
        return _never("not-a-test-number", "Only the test numbers of the settings are served.")
    if message.valid_until <= now:
        return _never("validity-over", "The message's validity is over.")
    if not message.text or "".join(segments.parts) != message.text:
        return _never("parts-differ", "The parts do not join to the text.")
    if len(segments.parts) > MAX_PARTS:
        return _never("too-many-parts", "The text takes more parts than a network carries.")
    if segments.encoding is Encoding.GSM7 and not gsm7.is_gsm7(message.text):
        return _never("not-encodable", "The text is not in the GSM alphabet.")
    return None


def not_sent(detail: str) -> Rejected:
    """Return a refusal for now."""
    return Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="not-sent", detail=detail)


def _never(code: str, detail: str) -> Rejected:
    return Rejected(kind=RejectKind.PERMANENT, code=code, detail=detail)
