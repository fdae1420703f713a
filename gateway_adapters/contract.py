"""The adapter contract: values that cross the boundary, and the protocol each adapter keeps.

Times are aware UTC. What the network does is an outcome, never an exception.

The clock that an adapter is given may be a pretended one that stands still. So the time left until
a deadline is `deadline - clock()` at the call, and from there on an adapter counts by its own
monotonic clock; the time left to a text's `valid_until` is reckoned in the same way.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

from gateway_adapters.events import Event, Receipt, Screen

Clock = Callable[[], datetime]


class Encoding(StrEnum):
    """How a text travels (3GPP TS 23.038)."""

    GSM7 = "gsm7"
    UCS2 = "ucs2"


@dataclass(frozen=True, slots=True, kw_only=True)
class Segments:
    """A text split for the wire: its encoding, its length in units, and its parts in order."""

    encoding: Encoding
    length: int
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgoing:
    """One text to send. `token` is our id and the idempotency key."""

    token: str
    to: str
    sender: str
    text: str
    segments: Segments
    valid_until: datetime
    want_receipt: bool = True


class RejectKind(StrEnum):
    """Whether trying again can help."""

    PERMANENT = "permanent"
    TRANSIENT = "transient"
    THROTTLED = "throttled"


class Scope(StrEnum):
    """What a rejection is about: this message, or the whole route."""

    MESSAGE = "message"
    ROUTE = "route"


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The gateway took the message; one id a part, one for the whole, or none."""

    gateway_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rejected:
    """The gateway, or the adapter before any octet left, refused. Certainly not sent."""

    kind: RejectKind
    scope: Scope = Scope.MESSAGE
    code: str = ""
    detail: str = ""
    retry_after_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ambiguous:
    """Octets left and no clear answer came: perhaps sent."""

    reason: str
    gateway_ids: tuple[str, ...] = ()


Outcome = Accepted | Rejected | Ambiguous


class HealthState(StrEnum):
    """How a route is."""

    UP = "up"
    DEGRADED = "degraded"
    DOWN = "down"


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """A route's state, with a reason free of secrets, numbers and texts."""

    state: HealthState
    reason: str = ""
    since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Capabilities:
    """What an adapter can do, true before the first connection."""

    encodings: frozenset[Encoding]
    max_segments: int
    receipts: bool
    inbound_text: bool
    ussd: bool
    query: bool
    cancel: bool
    idempotent_submit: bool
    window: int
    rate_per_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WebhookRequest:
    """An HTTP request that a gateway made to us, raw.

    `source` is the address that it came from, as our own server saw it; empty if nobody says.
    """

    method: str
    path: str
    headers: Mapping[str, str]
    body: bytes
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WebhookResult:
    """The events in a request and the exact answer to give once they are stored."""

    status: int
    body: bytes = b""
    events: tuple[Event, ...] = ()
    content_type: str = "text/plain; charset=utf-8"


@dataclass(frozen=True, slots=True, kw_only=True)
class UssdAnswer:
    """What became of a screen.

    Attributes:
        gone: the session had ended, or this step of it was answered before; nothing was shown.
        response: for gateways that show what their own request is answered with: that answer.
    """

    gone: bool = False
    response: WebhookResult | None = None


class Gateway(Protocol):
    """What every adapter does. `tests/acceptance/test_gateway_contract.py` holds each to it."""

    @property
    def capabilities(self) -> Capabilities:
        """What this adapter can do."""
        ...

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Return one outcome a message, in the same order; never raise for one message."""
        ...

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events within `wait_s` seconds; each stays until acknowledged."""
        ...

    def ack(self, event: Event) -> None:
        """Tell the gateway that the event is stored. Doing it twice is harmless."""
        ...

    def nack(self, event: Event) -> None:
        """Give the event back, to come again."""
        ...

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:
        """Read a request: pure, the signature checked before the body is parsed."""
        ...

    def query(self, gateway_id: str, to: str) -> Receipt | None:
        """Ask what became of a text; None means that the gateway cannot say."""
        ...

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:
        """Show a screen, once for each begin and input; a late one is gone and does not raise."""
        ...

    def check(self, *, deadline: datetime) -> Health:
        """Try the route as far as it goes without sending a text: reach it, sign in, ask."""
        ...

    def health(self) -> Health:
        """Return the route's state without causing traffic."""
        ...

    def close(self, *, drain_s: float) -> None:
        """Stop taking work and let answers arrive; afterwards nothing is outstanding."""
        ...
