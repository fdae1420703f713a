"""What a command_status and a message_state mean for a text. Pure tables.

Numbers and names are of SMPP 3.4, 5.1.3 and 5.2.28; the classes are ours.
"""

from dataclasses import dataclass

from gateway_adapters.contract import RejectKind, Scope
from gateway_adapters.events import ReceiptState


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What a refusal means; `rebind` asks for a new connection."""

    kind: RejectKind
    scope: Scope
    detail: str
    rebind: bool = False


def _verdict(
    kind: RejectKind, scope: Scope, detail: str, *statuses: int, rebind: bool = False
) -> dict[int, Verdict]:
    return dict.fromkeys(statuses, Verdict(kind=kind, scope=scope, detail=detail, rebind=rebind))


_PERMANENT, _TRANSIENT, _THROTTLED = RejectKind
_MESSAGE, _ROUTE = Scope

VERDICTS: dict[int, Verdict] = {
    **_verdict(
        _PERMANENT, _MESSAGE, "The gateway could not read what was sent: a fault of the program.",
        0x01, 0x02, 0x03,
    ),
    **_verdict(
        _TRANSIENT, _ROUTE, "The gateway lost the sign-in; it is being repeated.",
        0x04, 0x05, 0x0D, rebind=True,
    ),
    **_verdict(_PERMANENT, _ROUTE, "The gateway refuses a setting of this route.",
               0x06, 0x07, 0x15, 0x43, 0x44, 0x48, 0x49, 0x50, 0x51, 0x53, 0x54,
               0xC0, 0xC1, 0xC2, 0xC3, 0xC4),
    **_verdict(_TRANSIENT, _MESSAGE, "The gateway had a fault of its own.", 0x08, 0x45, 0xFF),
    **_verdict(_PERMANENT, _ROUTE, "The gateway does not let this sender through.", 0x0A),
    **_verdict(_PERMANENT, _MESSAGE, "The gateway does not serve this number.", 0x0B),
    **_verdict(_PERMANENT, _ROUTE, "The gateway refuses the name or the password.", 0x0E, 0x0F),
    **_verdict(_THROTTLED, _MESSAGE, "The gateway's queue for this number is full.", 0x14),
    **_verdict(_THROTTLED, _ROUTE, "The gateway asks for a slower pace.", 0x58),
    **_verdict(_PERMANENT, _MESSAGE, "The gateway refuses the validity.", 0x61, 0x62),
    **_verdict(_PERMANENT, _MESSAGE, "The gateway could not deliver the message.", 0xFE),
}  # fmt: skip

UNLISTED = Verdict(
    kind=RejectKind.TRANSIENT,
    scope=Scope.MESSAGE,
    detail="The gateway refused for a reason of its own; ask who runs it.",
)
NACKED = Verdict(
    kind=RejectKind.TRANSIENT,
    scope=Scope.ROUTE,
    detail="The gateway did not understand; the connection is made anew.",
    rebind=True,
)

_STATES: tuple[tuple[int, str, ReceiptState], ...] = (
    (1, "ENROU", ReceiptState.SUBMITTED),
    (2, "DELIV", ReceiptState.DELIVERED),
    (3, "EXPIR", ReceiptState.EXPIRED),
    (4, "DELET", ReceiptState.FAILED),
    (5, "UNDEL", ReceiptState.FAILED),
    (6, "ACCEP", ReceiptState.SUBMITTED),
    (7, "UNKNO", ReceiptState.UNKNOWN),
    (8, "REJEC", ReceiptState.FAILED),
)
_BY_NUMBER = {number: state for number, _, state in _STATES}
_BY_WORD = {word: state for _, word, state in _STATES}
_WORD_LETTERS = 5  # DELIVRD and DELIVERED are one word; common practice, no source


def verdict_of(status: int, own: dict[int, Verdict]) -> Verdict:
    """Return what a status means, by the route's own table first."""
    return own.get(status) or VERDICTS.get(status, UNLISTED)


def code_of(status: int) -> str:
    """Return the status as it is shown: `smpp-58`."""
    return f"smpp-{status:02X}"


def state_of_number(message_state: int) -> ReceiptState:
    """Return what a message_state says; one that is not in the standard says nothing."""
    return _BY_NUMBER.get(message_state, ReceiptState.UNKNOWN)


def state_of_word(stat: str) -> ReceiptState:
    """Return what the `stat` of a receipt's text says, in any case."""
    return _BY_WORD.get(stat.strip().upper()[:_WORD_LETTERS], ReceiptState.UNKNOWN)
