"""A text is queued once for its key, and cancelled only while it waits."""

from datetime import date

import pytest
from sqlalchemy import select

from gateway_adapters.contract import Accepted, Ambiguous, Rejected, RejectKind
from gateway_adapters.events import Receipt, ReceiptState
from service.outbox.enqueue import DoseLink, cancel, cancel_for_phone
from service.outbox.overdue import expire_overdue
from service.outbox.receipts import record_receipt
from service.records.engine import Sessions
from service.records.traffic import MessageDoseRow, MessageRow
from tests.unit.outbox.queue import (
    EIGHT,
    NOW,
    PHONE,
    a_draft,
    answer,
    claimed,
    later,
    message,
    put,
    queued,
    steps,
    why,
)


def count(sessions: Sessions) -> int:
    with sessions.read() as session:
        return len(session.scalars(select(MessageRow)).all())


def cancelled(sessions: Sessions, *ids: int, association_id: int = 1) -> int:
    with sessions.begin() as session:
        return cancel(session, association_id, ids, now=NOW, why="no longer right")


def expire(sessions: Sessions) -> None:
    with sessions.begin() as session:
        expire_overdue(session, 1, now=EIGHT)


def test_a_queued_text_has_its_first_event_and_its_doses(outbox: Sessions) -> None:
    link = DoseLink(dose_id=1, revision=3, due_on=date(2027, 3, 15))

    message_id = queued(outbox, doses=(link,))

    assert steps(outbox, message_id) == [("enqueue", "queued")]
    with outbox.read() as session:
        (told,) = session.scalars(select(MessageDoseRow)).all()
        assert (told.message_id, told.dose_id, told.revision) == (message_id, 1, 3)
        assert (told.due_on, told.association_id) == (date(2027, 3, 15), 1)


def test_the_same_key_twice_is_one_text(outbox: Sessions) -> None:
    first, second = put(outbox, a_draft(), a_draft())

    assert (first is not None, second, count(outbox)) == (True, None, 1)


def test_two_associations_may_have_the_same_key(outbox: Sessions) -> None:
    put(outbox, a_draft())

    (other,) = put(outbox, a_draft(route_id=2, phone_id=2), association_id=2)

    assert other is not None


def test_a_cancelled_text_gives_its_key_free_again_and_again(outbox: Sessions) -> None:
    first = queued(outbox)
    cancelled(outbox, first)
    second = queued(outbox)
    again_while_it_waits = put(outbox, a_draft())
    cancelled(outbox, second)
    third = queued(outbox)

    keys = [message(outbox, message_id).dedupe_key for message_id in (first, second, third)]
    assert keys == ["jobs:1", "jobs:1~1", "jobs:1~2"]
    assert again_while_it_waits == [None]


def test_a_text_that_expired_unsent_gives_its_key_free(outbox: Sessions) -> None:
    queued(outbox)
    expire(outbox)

    (again,) = put(outbox, a_draft(expires_at=later(90_000)), now=EIGHT)

    assert again is not None


@pytest.mark.parametrize(
    "outcome",
    [
        pytest.param(Accepted(gateway_ids=("g1",)), id="submitted"),
        pytest.param(Ambiguous(reason="silence"), id="unknown"),
        pytest.param(Rejected(kind=RejectKind.PERMANENT), id="failed"),
    ],
)
def test_a_text_that_left_or_was_refused_keeps_its_key(
    outbox: Sessions, outcome: Accepted | Ambiguous | Rejected
) -> None:
    queued(outbox)
    answer(outbox, claimed(outbox), outcome)

    assert put(outbox, a_draft()) == [None]


def test_a_text_that_expired_on_its_way_keeps_its_key(outbox: Sessions) -> None:
    message_id = queued(outbox)
    answer(outbox, claimed(outbox), Accepted(gateway_ids=("g1",)))
    expired = Receipt(event_id="e1", gateway_id="g1", to=PHONE, state=ReceiptState.EXPIRED, at=NOW)
    with outbox.begin() as session:
        record_receipt(session, 1, 1, expired, now=NOW)

    again = put(outbox, a_draft())

    assert (message(outbox, message_id).state, again) == ("expired", [None])


def test_a_key_is_taken_letter_by_letter_and_not_as_a_pattern(outbox: Sessions) -> None:
    cancelled(outbox, queued(outbox, "jobs:x"))
    queued(outbox, "jobs:x")  # now jobs:x~1

    message_id = queued(outbox, "jobs:_")

    assert message(outbox, message_id).dedupe_key == "jobs:_"


def test_a_text_that_still_waits_follows_what_is_now_to_be_said(outbox: Sessions) -> None:
    message_id = queued(outbox, fields={"values": {"can": 1}})

    put(outbox, a_draft(fields={"values": {"can": 2}}, language="sw"))

    row = message(outbox, message_id)
    assert (row.fields, row.language) == ({"values": {"can": 2}}, "sw")
    assert steps(outbox, message_id) == [("enqueue", "queued")]


def test_a_text_once_frozen_keeps_what_it_says_in_the_queue_too(outbox: Sessions) -> None:
    message_id = queued(outbox, fields={"values": {"can": 1}})
    answer(outbox, claimed(outbox), Rejected(kind=RejectKind.TRANSIENT))

    put(outbox, a_draft(fields={"values": {"can": 2}}))

    row = message(outbox, message_id)
    assert (row.state, row.fields) == ("queued", {"values": {"can": 1}})


def test_only_what_waits_in_the_own_queue_is_cancelled(outbox: Sessions) -> None:
    sent = queued(outbox, "sent")
    answer(outbox, claimed(outbox), Accepted())
    waiting = queued(outbox, "waiting")
    (foreign,) = put(outbox, a_draft(route_id=2, phone_id=2), association_id=2)
    assert foreign is not None

    ended = cancelled(outbox, sent, waiting, foreign)

    assert ended == 1
    assert [message(outbox, item).state for item in (sent, waiting, foreign)] == [
        "submitted",
        "cancelled",
        "queued",
    ]
    assert why(outbox, waiting) == "no longer right"


def test_all_that_waits_for_a_phone_is_cancelled_and_nothing_else(outbox: Sessions) -> None:
    mine = [queued(outbox, "one"), queued(outbox, "two", evening=None)]
    other = queued(outbox, "nobody's", phone_id=None)

    with outbox.begin() as session:
        ended = cancel_for_phone(session, 1, 1, now=NOW, why="stopped")
    with outbox.begin() as session:
        foreign = cancel_for_phone(session, 2, 1, now=NOW, why="stopped")

    assert (ended, foreign) == (2, 0)
    assert [message(outbox, item).state for item in mine] == ["cancelled", "cancelled"]
    assert message(outbox, other).state == "queued"
