"""What comes in from a gateway: receipts, late answers, texts, and the steps of USSD sessions.

Values only. Times are aware UTC. `event_id` is unique for the route; an event that was not
acknowledged comes again under the same one.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class ReceiptState(StrEnum):
    """What a receipt says has become of a text."""

    SUBMITTED = "submitted"
    DELIVERED = "delivered"
    FAILED = "failed"
    EXPIRED = "expired"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """News of a text sent earlier. `at` is the gateway's clock and may be wrong."""

    event_id: str
    gateway_id: str
    to: str
    state: ReceiptState
    at: datetime
    code: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LateAnswer:
    """An answer to a text that was given up as ambiguous: the gateway had taken it."""

    event_id: str
    token: str
    gateway_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Which piece of a long text this is: `number` of `total`, from 1 on.

    `reference` is the same in all pieces of one text (3GPP TS 23.040, 9.2.3.24).
    """

    reference: int
    number: int
    total: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Inbound:
    """A text from a phone, or a piece of a long one; whoever stores the pieces joins them.

    Attributes:
        event_id: unique for the route; it comes again on redelivery.
        sender: a number in E.164, or what the gateway says where that is none (a name, a short
            code), as it stands.
        received_at: by our clock.
        lossy: some octets could not be read.
        part: None where the text is whole.
    """

    event_id: str
    sender: str
    to: str
    text: str
    received_at: datetime
    lossy: bool = False
    part: Part | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UssdBegin:
    """A phone has dialled a code; `text` is what was dialled behind the code, often empty."""

    event_id: str
    session: str
    phone: str
    code: str
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UssdInput:
    """What a phone answered to a screen."""

    event_id: str
    session: str
    phone: str
    text: str


class UssdEndReason(StrEnum):
    """Who or what ended a session that we had not finished."""

    USER = "user"
    TIMEOUT = "timeout"
    NETWORK = "network"
    ERROR = "error"


@dataclass(frozen=True, slots=True, kw_only=True)
class UssdEnd:
    """A session has ended without us."""

    event_id: str
    session: str
    phone: str
    reason: UssdEndReason


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """What a phone is shown; `finish` closes the session."""

    text: str
    finish: bool


UssdEvent = UssdBegin | UssdInput | UssdEnd
Event = Receipt | LateAnswer | Inbound | UssdEvent
