"""A message's states, and the table of the steps between them.

The table has no effects. What it lacks is refused. Nothing leads from `unknown` back to the queue,
since a text sent twice can become a dose given twice.
"""

from enum import StrEnum


class State(StrEnum):
    """Where a message stands."""

    QUEUED = "queued"
    CLAIMED = "claimed"
    SUBMITTED = "submitted"
    DELIVERED = "delivered"
    FAILED = "failed"
    EXPIRED = "expired"
    UNKNOWN = "unknown"
    CANCELLED = "cancelled"


class Event(StrEnum):
    """What happens to a message."""

    CLAIM = "claim"
    ACCEPT = "accept"
    LOSE = "lose"  # no clear answer, the lease ran out, or no receipt can ever come
    REQUEUE = "requeue"  # refused for now, or certainly not sent
    REJECT = "reject"
    EXPIRE = "expire"
    CANCEL = "cancel"
    RECEIPT_SUBMITTED = "receipt-submitted"
    RECEIPT_DELIVERED = "receipt-delivered"
    RECEIPT_FAILED = "receipt-failed"
    RECEIPT_EXPIRED = "receipt-expired"
    RECEIPT_UNKNOWN = "receipt-unknown"


RECEIPT_EVENTS: dict[State, Event] = {
    State.SUBMITTED: Event.RECEIPT_SUBMITTED,
    State.DELIVERED: Event.RECEIPT_DELIVERED,
    State.FAILED: Event.RECEIPT_FAILED,
    State.EXPIRED: Event.RECEIPT_EXPIRED,
    State.UNKNOWN: Event.RECEIPT_UNKNOWN,
}

RANK: dict[State, int] = {
    State.SUBMITTED: 1,
    State.UNKNOWN: 2,
    State.FAILED: 3,
    State.EXPIRED: 3,
    State.DELIVERED: 4,
}

SENT: frozenset[State] = frozenset(RANK)
"""States of which a receipt may speak: the text left, or may have left."""

STILL_HERE: frozenset[State] = frozenset({State.QUEUED, State.CANCELLED})
"""States of a text that has certainly not left."""

ENDED: frozenset[State] = frozenset(
    {State.DELIVERED, State.FAILED, State.EXPIRED, State.CANCELLED},
)
"""States in which nothing is waited for any more, though a late receipt may still raise some."""


class IllegalTransitionError(ValueError):
    """A step that the table lacks: a fault in the program, not in what a person did."""

    def __init__(self, state: State, event: Event) -> None:
        super().__init__(f"A message that is {state} cannot take {event}.")
        self.state = state
        self.event = event


def after_receipt(state: State, receipt_state: State) -> State:
    """Return the state after a receipt: the higher of the two, on a tie the one already there.

    Equal or lower news changes nothing, so a receipt may come twice or out of order.

    Raises:
        ValueError: one of the two is not a state of a text that left.

    """
    if not {state, receipt_state} <= SENT:
        raise ValueError(f"No receipt leads from {state} to {receipt_state}.")
    return receipt_state if RANK[receipt_state] > RANK[state] else state


TRANSITIONS: dict[tuple[State, Event], State] = {
    (State.QUEUED, Event.CLAIM): State.CLAIMED,
    (State.QUEUED, Event.EXPIRE): State.EXPIRED,
    (State.QUEUED, Event.CANCEL): State.CANCELLED,
    (State.CLAIMED, Event.ACCEPT): State.SUBMITTED,
    (State.CLAIMED, Event.LOSE): State.UNKNOWN,
    (State.CLAIMED, Event.REQUEUE): State.QUEUED,
    (State.CLAIMED, Event.REJECT): State.FAILED,
    (State.CLAIMED, Event.EXPIRE): State.EXPIRED,
    (State.CLAIMED, Event.CANCEL): State.CANCELLED,
    (State.SUBMITTED, Event.LOSE): State.UNKNOWN,
    # The answer to the same token may come after the lease, and after a receipt.
    (State.UNKNOWN, Event.ACCEPT): State.SUBMITTED,
    (State.UNKNOWN, Event.REJECT): State.FAILED,
    (State.SUBMITTED, Event.ACCEPT): State.SUBMITTED,
    (State.DELIVERED, Event.ACCEPT): State.DELIVERED,
    (State.FAILED, Event.ACCEPT): State.FAILED,
    (State.EXPIRED, Event.ACCEPT): State.EXPIRED,
} | {
    (state, event): after_receipt(state, receipt_state)
    for state in SENT
    for receipt_state, event in RECEIPT_EVENTS.items()
}


def next_state(state: State, event: Event) -> State:
    """Return the state to which the event leads.

    Raises:
        IllegalTransitionError: the table has no such step.

    """
    try:
        return TRANSITIONS[state, event]
    except KeyError:
        raise IllegalTransitionError(state, event) from None
