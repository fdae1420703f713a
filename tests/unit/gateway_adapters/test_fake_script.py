"""Each fault that the fake gateway can be told to show."""

from dataclasses import replace

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Outcome,
    Outgoing,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.events import Event, Receipt, ReceiptState
from gateway_adapters.fake import FakeGateway
from gateway_adapters.fake_script import (
    DisorderedReceipts,
    DuplicateReceipt,
    EndsAs,
    LateReceipt,
    NoAnswer,
    NoReceipt,
    ReceiptFirst,
    Reject,
    Step,
    StrayReceipt,
    Throttle,
)
from tests.outgoing import (
    EVENING,
    HALF_MINUTE_LATER,
    NEXT_EVENING,
    PHONE,
    StoppedClock,
    an_outgoing,
)

SENT = Accepted(gateway_ids=("fake-m1",))
DELIVERED = Receipt(
    event_id="fake-m1:delivered",
    gateway_id="fake-m1",
    to=PHONE,
    state=ReceiptState.DELIVERED,
    at=EVENING,
)


@pytest.fixture
def clock() -> StoppedClock:
    return StoppedClock()


@pytest.fixture
def gateway(clock: StoppedClock) -> FakeGateway:
    return FakeGateway(clock=clock)


def _send(gateway: FakeGateway, message: Outgoing | None = None) -> Outcome:
    return gateway.submit([message or an_outgoing()], deadline=HALF_MINUTE_LATER)[0]


def _events(gateway: FakeGateway) -> list[Event]:
    return gateway.receive(wait_s=0, limit=100)


@pytest.mark.parametrize(
    ("step", "outcome"),
    [
        pytest.param(
            Rejected(kind=RejectKind.TRANSIENT, code="busy"),
            Rejected(kind=RejectKind.TRANSIENT, code="busy"),
            id="an outcome, as told",
        ),
        pytest.param(Ambiguous(reason="silence"), Ambiguous(reason="silence"), id="silence"),
        pytest.param(
            Reject(kind=RejectKind.PERMANENT),
            Rejected(kind=RejectKind.PERMANENT, code="refused"),
            id="message refused for good",
        ),
        pytest.param(
            Reject(kind=RejectKind.PERMANENT, scope=Scope.ROUTE, code="no-credit"),
            Rejected(kind=RejectKind.PERMANENT, scope=Scope.ROUTE, code="no-credit"),
            id="route refused",
        ),
        pytest.param(
            Throttle(retry_after_s=5.0),
            Rejected(
                kind=RejectKind.THROTTLED, scope=Scope.ROUTE, code="throttled", retry_after_s=5.0
            ),
            id="throttled",
        ),
        pytest.param(NoAnswer(delivered=False), Ambiguous(reason="no-answer"), id="lost"),
    ],
)
def test_a_fault_that_leaves_no_text(gateway: FakeGateway, step: Step, outcome: Outcome) -> None:
    gateway.script.append(step)

    assert _send(gateway) == outcome
    assert gateway.texts() == []
    assert _events(gateway) == []
    assert [text.token for text in gateway.submitted()] == ["m1"]


@pytest.mark.parametrize(
    ("step", "outcome", "states"),
    [
        pytest.param(
            Accepted(gateway_ids=("x1", "x2")),
            Accepted(gateway_ids=("x1", "x2")),
            [("x1", "delivered"), ("x2", "delivered")],
            id="accepted with ids as told",
        ),
        pytest.param(Accepted(), Accepted(), [], id="accepted without id"),
        pytest.param(
            NoAnswer(delivered=True),
            Ambiguous(reason="no-answer"),
            [("fake-m1", "delivered")],
            id="no answer",
        ),
        pytest.param(
            NoAnswer(delivered=True, id_known=True),
            Ambiguous(reason="no-answer", gateway_ids=("fake-m1",)),
            [("fake-m1", "delivered")],
            id="no answer after the id",
        ),
        pytest.param(DuplicateReceipt(), SENT, [("fake-m1", "delivered")] * 2, id="duplicate"),
        pytest.param(NoReceipt(), SENT, [], id="no receipt"),
        pytest.param(
            DisorderedReceipts(),
            SENT,
            [("fake-m1", "delivered"), ("fake-m1", "submitted")],
            id="out of order",
        ),
        pytest.param(
            StrayReceipt(),
            SENT,
            [("stray-fake-m1", "delivered"), ("fake-m1", "delivered")],
            id="unknown id",
        ),
        pytest.param(
            EndsAs(state=ReceiptState.UNKNOWN), SENT, [("fake-m1", "unknown")], id="end unknown"
        ),
    ],
)
def test_a_fault_that_leaves_the_text_on_the_phone(
    gateway: FakeGateway, step: Step, outcome: Outcome, states: list[tuple[str, str]]
) -> None:
    gateway.script.append(step)

    assert _send(gateway) == outcome
    assert len(gateway.texts(PHONE)) == 1
    receipts = [event for event in _events(gateway) if isinstance(event, Receipt)]
    assert [(receipt.gateway_id, receipt.state) for receipt in receipts] == states


@pytest.mark.parametrize("state", [ReceiptState.FAILED, ReceiptState.EXPIRED])
def test_a_text_that_fails_later_is_on_no_phone(gateway: FakeGateway, state: ReceiptState) -> None:
    gateway.script.append(EndsAs(state=state, code="046"))

    assert _send(gateway) == SENT
    assert gateway.texts() == []
    assert _events(gateway) == [
        replace(DELIVERED, event_id=f"fake-m1:{state}", state=state, code="046")
    ]


def test_a_receipt_can_be_taken_before_the_answer(gateway: FakeGateway) -> None:
    before_the_answer: list[Event] = []
    gateway.script.append(
        ReceiptFirst(meanwhile=lambda: before_the_answer.extend(_events(gateway)))
    )

    outcome = _send(gateway)

    assert before_the_answer == [DELIVERED]
    assert outcome == SENT
    assert _events(gateway) == []


def test_a_late_receipt_comes_when_it_is_due(gateway: FakeGateway, clock: StoppedClock) -> None:
    gateway.script.append(LateReceipt(due_at=NEXT_EVENING))
    _send(gateway)

    early = _events(gateway)
    clock.at = NEXT_EVENING

    assert early == []
    assert _events(gateway) == [DELIVERED]


def test_each_message_uses_up_one_entry_of_the_script(gateway: FakeGateway) -> None:
    gateway.script += [Reject(kind=RejectKind.TRANSIENT), NoAnswer(delivered=True)]
    batch = [an_outgoing(token) for token in ("m1", "m2", "m3")]

    outcomes = gateway.submit(batch, deadline=HALF_MINUTE_LATER)

    assert [type(outcome) for outcome in outcomes] == [Rejected, Ambiguous, Accepted]
    assert gateway.script == []
