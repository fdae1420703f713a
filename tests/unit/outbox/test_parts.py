"""A long text is what its parts have become (the rule of the reference: failed, expired, all)."""

from itertools import permutations

import pytest

from gateway_adapters.contract import Accepted, Ambiguous
from gateway_adapters.events import LateAnswer, Receipt, ReceiptState
from service.messages.lifecycle import State
from service.outbox.due import Due
from service.outbox.parts import whole_state
from service.outbox.receipts import attach_answer, record_receipt
from service.records.engine import Sessions
from tests.unit.outbox.queue import NOW, PHONE, answer, claim, message, queued

IDS = ("g1", "g2", "g3")


def three_parts(_due: Due) -> str:
    return "a" * 400


def sent(sessions: Sessions, outcome: Accepted | Ambiguous) -> int:
    message_id = queued(sessions)
    made = claim(sessions, render=three_parts)
    assert made is not None
    answer(sessions, made, outcome)
    return message_id


def receive(sessions: Sessions, gateway_id: str, state: ReceiptState) -> None:
    receipt = Receipt(
        event_id=f"{gateway_id}:{state}", gateway_id=gateway_id, to=PHONE, state=state, at=NOW
    )
    with sessions.begin() as session:
        record_receipt(session, 1, 1, receipt, now=NOW)


@pytest.mark.parametrize(
    ("parts", "whole"),
    [
        ([State.DELIVERED, State.DELIVERED], State.DELIVERED),
        ([State.DELIVERED, State.SUBMITTED], State.SUBMITTED),
        ([State.DELIVERED, State.UNKNOWN], State.UNKNOWN),
        ([State.DELIVERED, State.FAILED, State.EXPIRED], State.FAILED),
        ([State.DELIVERED, State.EXPIRED, State.SUBMITTED], State.EXPIRED),
    ],
)
def test_what_the_parts_make_of_the_whole(parts: list[State], whole: State) -> None:
    assert whole_state(parts) is whole


@pytest.mark.parametrize("order", list(permutations(IDS)))
def test_a_text_is_delivered_with_its_last_part_in_whatever_order(
    outbox: Sessions, order: tuple[str, ...]
) -> None:
    message_id = sent(outbox, Accepted(gateway_ids=IDS))
    states = []
    for gateway_id in order:
        receive(outbox, gateway_id, ReceiptState.DELIVERED)
        states.append(message(outbox, message_id).state)

    assert states == [State.SUBMITTED, State.SUBMITTED, State.DELIVERED]


def test_one_failed_part_fails_the_text(outbox: Sessions) -> None:
    message_id = sent(outbox, Accepted(gateway_ids=IDS))

    receive(outbox, "g1", ReceiptState.DELIVERED)
    receive(outbox, "g2", ReceiptState.FAILED)

    assert message(outbox, message_id).state is State.FAILED


def test_receipts_of_parts_may_come_before_the_answer(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claim(outbox, render=three_parts)
    assert made is not None
    for gateway_id in IDS:
        receive(outbox, gateway_id, ReceiptState.DELIVERED)

    answer(outbox, made, Accepted(gateway_ids=IDS))

    assert message(outbox, message_id).state is State.DELIVERED


def test_one_id_for_a_long_text_speaks_for_all_of_it(outbox: Sessions) -> None:
    message_id = sent(outbox, Accepted(gateway_ids=("g1",)))

    receive(outbox, "g1", ReceiptState.DELIVERED)

    assert message(outbox, message_id).state is State.DELIVERED


@pytest.mark.parametrize("known", [IDS[:1], IDS[:2]])
def test_parts_that_may_not_have_left_keep_the_text_in_doubt(
    outbox: Sessions, known: tuple[str, ...]
) -> None:
    message_id = sent(outbox, Ambiguous(reason="partial", gateway_ids=known))

    for gateway_id in known:
        receive(outbox, gateway_id, ReceiptState.DELIVERED)

    assert message(outbox, message_id).state is State.UNKNOWN


def late(sessions: Sessions, token: str, *, route_id: int = 1) -> None:
    event = LateAnswer(event_id=f"late:{token}", token=token, gateway_ids=("g9",))
    with sessions.begin() as session:
        attach_answer(session, 1, route_id, event, now=NOW)


def token_of(sessions: Sessions, message_id: int) -> str:
    token = message(sessions, message_id).token
    assert token is not None
    return token


def test_a_late_answer_lifts_the_doubt_and_brings_the_id(outbox: Sessions) -> None:
    message_id = sent(outbox, Ambiguous(reason="silence"))

    late(outbox, token_of(outbox, message_id))
    receive(outbox, "g9", ReceiptState.DELIVERED)

    assert message(outbox, message_id).state is State.DELIVERED


def test_a_late_answer_for_a_text_nobody_knows_changes_nothing(outbox: Sessions) -> None:
    message_id = sent(outbox, Ambiguous(reason="silence"))

    late(outbox, "another")
    late(outbox, token_of(outbox, message_id), route_id=2)

    assert message(outbox, message_id).state is State.UNKNOWN


def test_an_answer_that_overtakes_its_own_settling_counts_once(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claim(outbox, render=three_parts)
    assert made is not None

    late(outbox, token_of(outbox, message_id))
    answer(outbox, made, Ambiguous(reason="silence"))

    assert message(outbox, message_id).state is State.SUBMITTED
