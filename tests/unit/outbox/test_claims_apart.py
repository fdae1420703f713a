"""Two claims of one text are told apart: what came of the first says nothing of the second."""

from contextlib import suppress

import pytest

from gateway_adapters.contract import Accepted, Outcome, Rejected, RejectKind, Scope
from service.outbox.claim import Claim, claim_due
from service.outbox.receipts import settle
from service.records.engine import Sessions
from tests.unit.outbox.queue import answer, claimed, later, leases, message, plain, queued

ROUTE = Scope.ROUTE


@pytest.mark.parametrize(
    "refusal",
    [
        pytest.param(Rejected(kind=RejectKind.THROTTLED, retry_after_s=1), id="too fast, text"),
        pytest.param(
            Rejected(kind=RejectKind.THROTTLED, scope=ROUTE, retry_after_s=1), id="too fast"
        ),
        pytest.param(
            Rejected(kind=RejectKind.TRANSIENT, scope=ROUTE, retry_after_s=1), id="not now"
        ),
        pytest.param(Rejected(kind=RejectKind.PERMANENT, scope=ROUTE, retry_after_s=1), id="never"),
    ],
)
def test_a_refusal_written_down_again_does_not_requeue_what_another_is_sending(
    outbox: Sessions, refusal: Outcome
) -> None:
    """The first worker never learnt that its refusal was kept, and writes it down once more.

    Meanwhile a second has claimed the text, and the network takes it: it must not leave again.
    """
    message_id = queued(outbox)
    first = claimed(outbox)
    answer(outbox, first, refusal)
    second = claimed(outbox, now=later(2))

    answer(outbox, first, refusal, now=later(3))
    between = (message(outbox, message_id).state, len(leases(outbox)))
    answer(outbox, second, Accepted(gateway_ids=("g1",)), now=later(4))

    assert between == ("claimed", 1)
    assert message(outbox, message_id).state == "submitted"


def test_a_claim_that_never_was_ends_no_lease_of_another(outbox: Sessions) -> None:
    """A database gives the number of a claim that was rolled back to the next one."""
    queued(outbox)
    kept: list[Claim | None] = []
    with suppress(ConnectionError), outbox.begin() as session:
        kept.append(claim_due(session, 1, 1, now=later(0), limit=100, render=plain))
        raise ConnectionError
    real = claimed(outbox, now=later(1))

    (never,) = kept
    assert never is not None
    with outbox.begin() as session:
        refusal = Rejected(kind=RejectKind.THROTTLED, scope=ROUTE, retry_after_s=1)
        settle(session, 1, never, [refusal], now=later(2))

    assert [row.id for row in leases(outbox)] == [real.claim_id]
