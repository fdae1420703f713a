"""A thousand texts under faults that dice choose: the peer's log against our outcomes."""

from collections import Counter

import pytest

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from tests.gateways.http_form_line import (
    API_KEY,
    IDEMPOTENT,
    opened,
    settings_for,
)
from tests.gateways.peers.driver import http_service
from tests.outgoing import HALF_MINUTE_LATER, an_outgoing
from tests.peers.dice import Dice

SEED = 20270315
TEXTS = 1000
BATCH = 10
FAULTS = (
    "dropNext",
    "lostNext",
    "failAfterNext",
    "noIdNext",
    "badJsonNext",
    "errorIn200Next",
    "redirectNext",
    "statusNext",
    "silentNext",
)
STATUSES = (400, 401, 403, 408, 429, 500, 503)


def _again(outcome: Outcome) -> bool:
    """Return whether the service would send such a text again: only what was certainly not sent."""
    return isinstance(outcome, Rejected) and (
        outcome.kind is not RejectKind.PERMANENT or outcome.scope is Scope.ROUTE
    )


@pytest.mark.slow
@pytest.mark.parametrize("more", [{}, IDEMPOTENT], ids=["plain", "with a key"])
def test_nothing_is_lost_and_nothing_is_sent_twice(more: dict[str, object]) -> None:
    """Faults of every kind, by a fixed seed; what was certainly not sent is sent again."""
    dice = Dice(SEED)
    queue = [f"t{number}" for number in range(TEXTS)]
    ends: dict[str, Outcome] = {}
    calls: Counter[str] = Counter()
    with (
        http_service(key=API_KEY, retryAfter="0") as (peer, port),
        opened(settings_for(port, window=4, read_s=0.2, **more)) as gateway,
    ):
        while queue:
            batch, queue = queue[:BATCH], queue[BATCH:]
            if dice.happens(60):
                faults = {dice.pick(FAULTS): dice.between(1, 2) for _ in range(2)}
                peer.tell(status=dice.pick(STATUSES), **faults)
            calls.update(batch)
            outcomes = gateway.submit(
                [an_outgoing(token, text=f"Namba {token}") for token in batch],
                deadline=HALF_MINUTE_LATER,
            )
            for token, outcome in zip(batch, outcomes, strict=True):
                if _again(outcome):
                    queue.append(token)
                else:
                    ends[token] = outcome
        messages = peer.heard("submit")
        again = peer.heard("again")

    count = Counter(str(message["token"]) for message in messages)
    ids = {str(message["token"]): str(message["id"]) for message in messages}
    kinds = Counter(type(outcome) for outcome in ends.values())
    assert len(ends) == TEXTS
    assert max(count.values()) == 1
    for token, outcome in ends.items():
        match outcome:
            case Accepted(gateway_ids=named):
                assert named == (ids[token],)
            case Rejected():
                assert count[token] == 0
            case Ambiguous():
                pass
    assert kinds[Accepted] > TEXTS / 2
    assert min(kinds[Ambiguous], kinds[Rejected]) > 0
    assert max(calls.values()) > 1
    assert bool(again) == bool(more)
