"""A batch settled at once ends as if each text had been settled alone."""

import pytest

from gateway_adapters.contract import Accepted, Outcome, Rejected, RejectKind
from gateway_adapters.events import Receipt, ReceiptState
from service.outbox.enqueue import DoseLink
from service.outbox.overdue import lapse_leases
from service.outbox.receipts import record_receipt, settle
from service.records.engine import Sessions
from service.records.traffic import MessageRow, OrphanReceiptRow
from tests.unit.outbox.queue import (
    EVENING,
    NOW,
    PHONE,
    answer,
    claimed,
    dose,
    later,
    leases,
    message,
    queued,
    route,
    steps,
    why,
)

NO = Rejected(kind=RejectKind.PERMANENT, code="barred")
DOSE = DoseLink(dose_id=1, revision=1, due_on=EVENING)


def yes(gateway_id: str) -> Accepted:
    return Accepted(gateway_ids=(gateway_id,))


def receipt(gateway_id: str, state: ReceiptState = ReceiptState.DELIVERED) -> Receipt:
    return Receipt(
        event_id=f"{gateway_id}:{state}", gateway_id=gateway_id, to=PHONE, state=state, at=NOW
    )


def test_receipts_that_came_early_are_heard_for_each_text_of_a_batch(outbox: Sessions) -> None:
    queue = [queued(outbox, str(number)) for number in range(3)]
    made = claimed(outbox)
    with outbox.begin() as session:
        for gateway_id in ("g2", "g0"):
            record_receipt(session, 1, 1, receipt(gateway_id), now=NOW)

    answer(outbox, made, yes("g0"), yes("g1"), yes("g2"))

    states = [message(outbox, item).state.value for item in queue]
    assert states == ["delivered", "submitted", "delivered"]
    with outbox.read() as session:
        assert session.query(OrphanReceiptRow).count() == 0


def test_a_batch_told_of_one_dose_twice_fixes_it_once(outbox: Sessions) -> None:
    for number in range(2):
        queued(outbox, str(number), doses=(DOSE,))

    answer(outbox, claimed(outbox), yes("g0"), yes("g1"))

    assert dose(outbox).told is True


def test_of_a_batch_only_what_is_still_claimed_is_taken_at_once(outbox: Sessions) -> None:
    """One text was given up, decided by a person and is in doubt; its yes still counts."""
    held, doubted = queued(outbox, "held"), queued(outbox, "doubted")
    made = claimed(outbox)
    with outbox.begin() as session:
        lapse_leases(session, 1, now=later(120))
        session.get_one(MessageRow, held).state = message(outbox, held).state.CLAIMED

    answer(outbox, made, yes("g0"), yes("g1"), now=later(130))

    assert steps(outbox, held)[-1] == ("accept", "submitted")
    assert steps(outbox, doubted)[-1] == ("accept", "submitted")
    assert [message(outbox, item).gateway_id for item in (held, doubted)] == ["g0", "g1"]


def test_a_yes_without_an_id_leaves_the_id_open(outbox: Sessions) -> None:
    queue = [queued(outbox, str(number)) for number in range(2)]

    answer(outbox, claimed(outbox), Accepted(), yes("g1"))

    assert [message(outbox, item).gateway_id for item in queue] == [None, "g1"]


@pytest.mark.parametrize(
    ("outcomes", "refusals"),
    [
        pytest.param([NO, NO, NO, NO], 4, id="four in a row"),
        pytest.param([NO, NO, yes("a"), NO], 1, id="a yes between"),
        pytest.param([yes("a"), yes("b"), NO, NO], 2, id="after two of a kind"),
        pytest.param([NO, NO, NO, yes("a")], 0, id="a yes at the end"),
        pytest.param([yes("a"), NO, yes("b"), yes("c")], 0, id="between"),
    ],
)
def test_refusals_are_counted_in_the_order_of_the_answers(
    outbox: Sessions, outcomes: list[Outcome], refusals: int
) -> None:
    for number in range(4):
        queued(outbox, str(number))

    answer(outbox, claimed(outbox), *outcomes)

    assert route(outbox).refusals == refusals
    assert leases(outbox) == []


def test_what_was_read_before_in_the_same_transaction_is_read_anew(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)

    with outbox.begin() as session:
        before = session.get_one(MessageRow, message_id)
        state = before.state.value
        settle(session, 1, made, [yes("g0")], now=NOW)

        assert (state, before.state.value, before.gateway_id) == ("claimed", "submitted", "g0")


def test_a_mixed_batch_settles_each_text_by_its_own_answer(outbox: Sessions) -> None:
    queue = [queued(outbox, str(number)) for number in range(3)]

    answer(outbox, claimed(outbox), yes("g0"), NO, Accepted(gateway_ids=("p1", "p2")))

    assert [message(outbox, item).state.value for item in queue] == [
        "submitted",
        "failed",
        "submitted",
    ]
    assert why(outbox, queue[1]) == "barred"
    assert message(outbox, queue[2]).gateway_id == "p2"
