"""The fake gateway in memory: what it does unless told otherwise."""

from dataclasses import replace

import pytest

from gateway_adapters.contract import (
    Accepted,
    HealthState,
    Outcome,
    Outgoing,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.events import Event, Receipt, ReceiptState
from gateway_adapters.fake import FakeGateway, open_fake
from gateway_adapters.fake_script import (
    NoAnswer,
    NoReceipt,
)
from tests.outgoing import (
    EVENING,
    HALF_MINUTE_LATER,
    OTHER_PHONE,
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


def test_a_text_reaches_the_phone_as_its_parts_say(gateway: FakeGateway) -> None:
    outcome = _send(gateway, an_outgoing(text="ŋ" * 71))

    (text,) = gateway.texts(PHONE)
    assert outcome == SENT
    assert (text.text, text.segments, text.encoding) == ("ŋ" * 71, 2, "ucs2")
    assert (text.to, text.sender, text.token, text.at) == (PHONE, "15050", "m1", EVENING)


def test_the_receipt_says_delivered(gateway: FakeGateway) -> None:
    _send(gateway)

    assert _events(gateway) == [DELIVERED]


def test_no_receipt_comes_where_none_is_wanted(gateway: FakeGateway) -> None:
    _send(gateway, replace(an_outgoing(), want_receipt=False))

    assert _events(gateway) == []


def test_a_token_sent_twice_is_on_the_phone_twice(gateway: FakeGateway) -> None:
    """A double send must be visible; the second has an id of its own."""
    outcomes = [_send(gateway), _send(gateway)]

    assert outcomes == [SENT, Accepted(gateway_ids=("fake-m1-2",))]
    assert [text.token for text in gateway.texts()] == ["m1", "m1"]


def test_each_phone_shows_its_own_texts(gateway: FakeGateway) -> None:
    _send(gateway, an_outgoing("m1"))
    _send(gateway, an_outgoing("m2", to=OTHER_PHONE))

    assert [text.token for text in gateway.texts(OTHER_PHONE)] == ["m2"]


def test_a_number_that_is_no_test_number_is_refused_for_good() -> None:
    gateway = FakeGateway(clock=StoppedClock(), numbers=(PHONE,))

    outcomes = [_send(gateway), _send(gateway, an_outgoing("m2", to=OTHER_PHONE))]

    assert outcomes[0] == SENT
    assert isinstance(outcomes[1], Rejected)
    assert (outcomes[1].kind, outcomes[1].scope, outcomes[1].code) == (
        RejectKind.PERMANENT,
        Scope.MESSAGE,
        "not-a-test-number",
    )
    assert [text.to for text in gateway.submitted()] == [PHONE]


@pytest.mark.parametrize(
    ("message", "code"),
    [
        pytest.param(
            replace(an_outgoing(), valid_until=EVENING), "validity-over", id="validity is over"
        ),
        pytest.param(
            replace(an_outgoing(), text="Kesho: shamba D."), "parts-differ", id="other text"
        ),
        pytest.param(
            replace(
                an_outgoing(text="ŋ"),
                segments=replace(an_outgoing().segments, parts=("ŋ",)),
            ),
            "not-encodable",
            id="wrong encoding",
        ),
    ],
)
def test_a_message_no_network_could_carry_is_refused(
    gateway: FakeGateway, message: Outgoing, code: str
) -> None:
    outcome = _send(gateway, message)

    assert isinstance(outcome, Rejected)
    assert (outcome.kind, outcome.code) == (RejectKind.PERMANENT, code)
    assert gateway.submitted() == []


def test_a_grower_answers_and_the_text_becomes_an_event(gateway: FakeGateway) -> None:
    inbound = gateway.answer(PHONE, "A3")

    assert (inbound.sender, inbound.to, inbound.text) == (PHONE, "15050", "A3")
    assert (inbound.event_id, inbound.received_at) == ("in-1", EVENING)
    assert _events(gateway) == [inbound]


def test_an_answer_may_come_twice_under_one_id(gateway: FakeGateway) -> None:
    first = gateway.answer(PHONE, "A3", event_id="mo-7")
    (taken,) = gateway.receive(wait_s=0, limit=10)
    gateway.ack(taken)

    gateway.answer(PHONE, "A3", event_id="mo-7")

    assert _events(gateway) == [first]


def test_the_truth_about_a_text_can_be_asked(gateway: FakeGateway) -> None:
    gateway.script.append(NoReceipt())
    _send(gateway)

    assert gateway.query("fake-m1", PHONE) == DELIVERED


def test_a_lost_text_cannot_be_asked_about(gateway: FakeGateway) -> None:
    gateway.script.append(NoAnswer(delivered=False, id_known=True))
    _send(gateway)

    assert gateway.query("fake-m1", PHONE) is None


def test_a_closed_fake_is_down_and_its_phones_can_be_looked_at(gateway: FakeGateway) -> None:
    _send(gateway)

    gateway.close(drain_s=0)

    assert gateway.health().state is HealthState.DOWN
    assert len(gateway.texts()) == 1


def test_wrong_settings_are_all_listed_at_once() -> None:
    with pytest.raises(GatewayConfigError) as refused:
        open_fake({"folder": 7, "numbers": ["0712"], "speed": 3}, StoppedClock())

    sentences = str(refused.value)
    assert all(key in sentences for key in ("'folder'", "'numbers'", "'speed'"))


def test_without_settings_the_network_is_in_memory_and_serves_any_number() -> None:
    gateway = open_fake({}, StoppedClock())

    assert _send(gateway) == SENT
    assert not gateway.reaches_phones


def test_the_settings_name_the_numbers_served() -> None:
    gateway = open_fake({"numbers": [PHONE]}, StoppedClock())

    outcomes = [_send(gateway), _send(gateway, an_outgoing("m2", to=OTHER_PHONE))]

    assert [type(outcome) for outcome in outcomes] == [Accepted, Rejected]


def test_with_an_empty_list_of_numbers_nobody_is_served() -> None:
    gateway = open_fake({"numbers": []}, StoppedClock())

    assert isinstance(_send(gateway), Rejected)
