"""Makes jobs of messages, or refuses them before anything leaves. Pure, but for references."""

from collections.abc import Callable
from datetime import datetime

from gateway_adapters.contract import Outgoing, Rejected, RejectKind, Scope
from gateway_adapters.errors import NotEncodableError
from gateway_adapters.segments import MAX_PARTS
from gateway_adapters.smpp.addresses import phone_address, sender_address
from gateway_adapters.smpp.jobs import Call, Job, Piece
from gateway_adapters.smpp.long_texts import References, bodies
from gateway_adapters.smpp.settings import SmppSettings


class Outgoings:
    """The way from a message to its submit_sm's, by a route's settings."""

    def __init__(self, settings: SmppSettings, *, start: Callable[[], int]) -> None:
        self._settings = settings
        self._references = References(start)

    def job(self, message: Outgoing, call: Call, *, at: datetime, now: float) -> Job | Rejected:
        """Return the job of a message, or why it cannot be sent at all.

        `at` is by the clock that `valid_until` is by, `now` monotonic seconds of the same moment.
        """
        left_s = (message.valid_until - at).total_seconds()
        if left_s <= 0:
            return _never("validity-over", "The message's validity is over.")
        if (refused := _misfit(message)) is not None:
            return refused
        source = sender_address(message.sender, self._settings.source)
        if source is None:
            return Rejected(
                kind=RejectKind.PERMANENT,
                scope=Scope.ROUTE,
                code="sender-unfit",
                detail="The sender is neither a number nor a name of at most 11 plain letters.",
            )
        destination = phone_address(message.to, self._settings.destination)
        if destination is None:
            return _never("number-unfit", "The number is not in the international form.")
        try:
            carried = bodies(
                message.segments,
                self._settings.alphabet,
                self._settings.long,
                reference=lambda: self._references.next(message.to),
            )
        except NotEncodableError:
            return _never("not-encodable", "The gateway's alphabet lacks a character of the text.")
        job = Job(
            call=call,
            message=message,
            source=source,
            destination=destination,
            expires_at=now + left_s,
        )
        job.pieces += [Piece(job=job, body=body) for body in carried]
        return job


def not_sent(detail: str, *, retry_after_s: float | None = None) -> Rejected:
    """Return the outcome of what has certainly not left, through no fault of its own."""
    return Rejected(
        kind=RejectKind.TRANSIENT,
        scope=Scope.ROUTE,
        code="not-sent",
        detail=detail,
        retry_after_s=retry_after_s,
    )


def _misfit(message: Outgoing) -> Rejected | None:
    parts = message.segments.parts
    if not message.text or "".join(parts) != message.text:
        return _never("parts-differ", "The parts do not join to the text.")
    if len(parts) > MAX_PARTS:
        return _never("too-many-parts", "The text takes more parts than a network carries.")
    return None


def _never(code: str, detail: str) -> Rejected:
    return Rejected(kind=RejectKind.PERMANENT, code=code, detail=detail)
