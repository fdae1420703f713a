"""What the fake gateway can be told to do with the next message, and what comes of it.

One entry of the script is used up by each message; without one all goes well.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from gateway_adapters.events import Event, Receipt, ReceiptState


@dataclass(frozen=True, slots=True, kw_only=True)
class Reject:
    """The network refuses; the text is on no phone."""

    kind: RejectKind
    scope: Scope = Scope.MESSAGE
    code: str = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Throttle:
    """The network asks the route to go slower, and says for how many seconds, or does not say."""

    retry_after_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoAnswer:
    """The text leaves and no answer comes back.

    `delivered` tells whether the phone has it all the same, and so whether a receipt follows;
    `id_known` whether the id came through before the line broke, so that a receipt can match.
    """

    delivered: bool
    id_known: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DuplicateReceipt:
    """The receipt comes twice, the same to the last field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptFirst:
    """The receipt can be taken before the answer: `meanwhile` runs between the two.

    The text is on the phone by then, so `meanwhile` may also kill the process or move the clock.
    """

    meanwhile: Callable[[], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class LateReceipt:
    """The receipt can be taken only from the instant `due_at` on."""

    due_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class NoReceipt:
    """The phone has the text, and no receipt ever comes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DisorderedReceipts:
    """The final receipt comes before the interim one ("submitted")."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrayReceipt:
    """A receipt for an id that was never given out comes before the right one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndsAs:
    """The text is accepted and its receipt tells this end; failed or expired, no phone has it."""

    state: ReceiptState
    code: str = ""


AnswerFault = Reject | Throttle | NoAnswer
ReceiptFault = (
    DuplicateReceipt
    | ReceiptFirst
    | LateReceipt
    | NoReceipt
    | DisorderedReceipts
    | StrayReceipt
    | EndsAs
)
Step = Outcome | AnswerFault | ReceiptFault

_DELIVERED = ReceiptState.DELIVERED


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """An event on its way to us; it can be taken from `due_at` on, or at once."""

    event: Event
    due_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What comes of one message: the answer, the state of the text (None: lost), the receipts."""

    outcome: Outcome
    state: ReceiptState | None = None
    receipts: tuple[Pending, ...] = ()
    meanwhile: Callable[[], object] | None = None


def effect_of(step: Step | None, *, gateway_id: str, to: str, now: datetime) -> Effect:
    """Return what the step makes of a message to `to` that would get this id.

    A plain `Rejected` or `Ambiguous` reaches no phone; a plain `Accepted` does, with its own ids.
    """
    match step:
        case Rejected() | Ambiguous():
            return Effect(outcome=step)
        case Accepted(gateway_ids=ids):
            receipts = tuple(Pending(event=_receipt(own_id, to, _DELIVERED, now)) for own_id in ids)
            return Effect(outcome=step, state=_DELIVERED, receipts=receipts)
        case Reject() | Throttle() | NoAnswer():
            return _answered_badly(
                step, gateway_id, Pending(event=_receipt(gateway_id, to, _DELIVERED, now))
            )
        case _:  # what is left is a fault of the receipt: mypy holds `_accepted` to all of them
            return _accepted(step, gateway_id=gateway_id, to=to, now=now)


def _answered_badly(fault: AnswerFault, gateway_id: str, receipt: Pending) -> Effect:
    match fault:
        case Reject(kind=kind, scope=scope, code=code):
            return Effect(outcome=Rejected(kind=kind, scope=scope, code=code))
        case Throttle(retry_after_s=wait_s):
            slower = Rejected(
                kind=RejectKind.THROTTLED,
                scope=Scope.ROUTE,
                code="throttled",
                retry_after_s=wait_s,
            )
            return Effect(outcome=slower)
        case NoAnswer(delivered=delivered, id_known=known):
            silence = Ambiguous(reason="no-answer", gateway_ids=(gateway_id,) if known else ())
            if not delivered:
                return Effect(outcome=silence)
            return Effect(outcome=silence, state=_DELIVERED, receipts=(receipt,))


def _accepted(fault: ReceiptFault | None, *, gateway_id: str, to: str, now: datetime) -> Effect:
    final = _receipt(gateway_id, to, _DELIVERED, now)
    state, meanwhile = _DELIVERED, None
    events: tuple[Receipt, ...] = (final,)
    due_at: datetime | None = None
    match fault:
        case None:
            pass
        case DuplicateReceipt():
            events = (final, final)
        case ReceiptFirst():
            meanwhile = fault.meanwhile
        case LateReceipt():
            due_at = fault.due_at
        case NoReceipt():
            events = ()
        case DisorderedReceipts():
            events = (final, _receipt(gateway_id, to, ReceiptState.SUBMITTED, now))
        case StrayReceipt():
            events = (_receipt(f"stray-{gateway_id}", to, _DELIVERED, now), final)
        case EndsAs():
            state = fault.state
            events = (_receipt(gateway_id, to, state, now, code=fault.code),)
    return Effect(
        outcome=Accepted(gateway_ids=(gateway_id,)),
        state=state,
        receipts=tuple(Pending(event=event, due_at=due_at) for event in events),
        meanwhile=meanwhile,
    )


def _receipt(
    gateway_id: str, to: str, state: ReceiptState, now: datetime, *, code: str = ""
) -> Receipt:
    return Receipt(
        event_id=f"{gateway_id}:{state}",
        gateway_id=gateway_id,
        to=to,
        state=state,
        at=now,
        code=code,
    )
