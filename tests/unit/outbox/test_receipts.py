"""Receipts only raise a text's state: early, late, twice or out of order, all end the same."""

from itertools import permutations

import pytest
from sqlalchemy import select

from gateway_adapters.contract import Accepted, Ambiguous
from gateway_adapters.events import Receipt, ReceiptState
from service.outbox.receipts import file_orphans, record_receipt
from service.records.engine import Sessions
from service.records.traffic import OrphanReceiptRow
from tests.unit.outbox.queue import (
    NOW,
    PHONE,
    answer,
    claimed,
    later,
    message,
    queued,
    steps,
)

SUBMITTED, DELIVERED = ReceiptState.SUBMITTED, ReceiptState.DELIVERED
FAILED, EXPIRED, UNKNOWN = ReceiptState.FAILED, ReceiptState.EXPIRED, ReceiptState.UNKNOWN


def receive(  # noqa: PLR0913 -- each part of a receipt has its usual value
    sessions: Sessions,
    state: ReceiptState,
    *,
    gateway_id: str = "g1",
    to: str = PHONE,
    tenant: int = 1,
    event_id: str | None = None,
) -> None:
    receipt = Receipt(
        event_id=event_id or f"{gateway_id}:{state}",
        gateway_id=gateway_id,
        to=to,
        state=state,
        at=NOW,
    )
    with sessions.begin() as session:
        record_receipt(session, tenant, tenant, receipt, now=NOW)


def orphans(sessions: Sessions) -> list[OrphanReceiptRow]:
    with sessions.read() as session:
        return list(session.scalars(select(OrphanReceiptRow)))


def file_away(sessions: Sessions, seconds: float, *, tenant: int = 1) -> list[bool]:
    with sessions.begin() as session:
        file_orphans(session, tenant, now=later(seconds))
    return [row.filed for row in orphans(sessions)]


def submitted(sessions: Sessions) -> int:
    message_id = queued(sessions)
    answer(sessions, claimed(sessions), Accepted(gateway_ids=("g1",)))
    return message_id


@pytest.mark.parametrize(
    ("told", "state"),
    [
        (SUBMITTED, "submitted"),
        (UNKNOWN, "unknown"),
        (FAILED, "failed"),
        (EXPIRED, "expired"),
        (DELIVERED, "delivered"),
    ],
)
def test_a_receipt_moves_a_submitted_text(outbox: Sessions, told: ReceiptState, state: str) -> None:
    message_id = submitted(outbox)

    receive(outbox, told)

    assert (message(outbox, message_id).state, orphans(outbox)) == (state, [])


@pytest.mark.parametrize("order", [*permutations((SUBMITTED, EXPIRED, DELIVERED))])
def test_in_any_order_the_highest_news_stands(
    outbox: Sessions, order: tuple[ReceiptState, ...]
) -> None:
    message_id = submitted(outbox)

    for told in order:
        receive(outbox, told)

    assert message(outbox, message_id).state == "delivered"


def test_the_same_receipt_twice_is_one_event(outbox: Sessions) -> None:
    message_id = submitted(outbox)

    receive(outbox, DELIVERED)
    once = steps(outbox, message_id)
    receive(outbox, DELIVERED)

    assert steps(outbox, message_id) == once
    assert once[-1] == ("receipt-delivered", "delivered")


def test_failed_after_delivered_is_not_believed(outbox: Sessions) -> None:
    message_id = submitted(outbox)

    receive(outbox, DELIVERED)
    receive(outbox, FAILED)

    assert message(outbox, message_id).state == "delivered"


def test_a_receipt_before_its_answer_waits_for_it(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)

    receive(outbox, DELIVERED)
    waiting = (message(outbox, message_id).state, len(orphans(outbox)))
    answer(outbox, made, Accepted(gateway_ids=("g1",)))

    assert waiting == ("claimed", 1)
    assert (message(outbox, message_id).state, orphans(outbox)) == ("delivered", [])


def test_early_receipts_in_disorder_end_at_the_highest(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)

    receive(outbox, DELIVERED)
    receive(outbox, SUBMITTED)
    answer(outbox, made, Accepted(gateway_ids=("g1",)))

    assert (message(outbox, message_id).state, orphans(outbox)) == ("delivered", [])


def test_a_receipt_lifts_the_doubt_of_a_text_whose_id_came_through(outbox: Sessions) -> None:
    message_id = queued(outbox)
    answer(outbox, claimed(outbox), Ambiguous(reason="reset", gateway_ids=("g1",)))

    receive(outbox, DELIVERED)

    assert message(outbox, message_id).state == "delivered"


def test_a_receipt_that_came_early_lifts_the_doubt_too(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)
    receive(outbox, DELIVERED)

    answer(outbox, made, Ambiguous(reason="reset", gateway_ids=("g1",)))

    assert message(outbox, message_id).state == "delivered"


def test_a_receipt_for_another_number_or_tenant_is_not_this_texts(outbox: Sessions) -> None:
    message_id = submitted(outbox)

    receive(outbox, DELIVERED, to="+255100000002", event_id="e1")
    receive(outbox, DELIVERED, tenant=2, event_id="e2")

    assert message(outbox, message_id).state == "submitted"
    assert [row.association_id for row in orphans(outbox)] == [1, 2]


def test_an_id_that_a_gateway_gave_out_twice_means_the_newer_text(outbox: Sessions) -> None:
    older = submitted(outbox)
    newer = queued(outbox, "jobs:2")
    answer(outbox, claimed(outbox), Accepted(gateway_ids=("g1",)))

    receive(outbox, DELIVERED)

    states = [message(outbox, item).state for item in (older, newer)]
    assert states == ["submitted", "delivered"]


def test_an_unknown_id_is_kept_once_and_filed_after_an_hour(outbox: Sessions) -> None:
    """One hour: the design's project choice."""
    receive(outbox, DELIVERED, gateway_id="stray")
    receive(outbox, DELIVERED, gateway_id="stray")

    filed = [file_away(outbox, 3599), file_away(outbox, 3600, tenant=2), file_away(outbox, 3600)]

    assert filed == [[False], [False], [True]]
