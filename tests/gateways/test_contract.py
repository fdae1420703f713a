"""The contract, asked of every installed gateway (`gateway_adapters.contract`).

A new gateway joins by its entry point and a fixture `<name>_line` in this folder's conftest.
The rules are the contract's own: no outside source.
"""

from dataclasses import replace
from itertools import permutations

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Event,
    Gateway,
    HealthState,
    Inbound,
    Outgoing,
    Receipt,
    ReceiptState,
    Rejected,
    RejectKind,
    WebhookRequest,
)
from gateway_adapters.errors import GatewayClosedError
from tests.gateways.line import Line
from tests.outgoing import EVENING, HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

WAIT_S = 5.0
TEXTS = [
    pytest.param("A", id="one letter"),
    pytest.param("Kesho: shamba A, lita 4. Jibu A3 ukimaliza.", id="a reminder"),
    pytest.param("a" * 160, id="one full part"),
    pytest.param("a" * 152 + "€" + "a" * 152, id="pair at the seam"),
    pytest.param("[A3] {~^} \\ | 5€", id="extended characters"),
    pytest.param("@ $ _ é §", id="where alphabets differ"),
    pytest.param("ነገ ውሃ", id="ethiopic"),
    pytest.param("ŋ" * 66 + "🌱" + "ŋ" * 66, id="surrogates at the seam"),
    pytest.param("line one\nline two", id="two lines"),
]


def _events(gateway: Gateway, many: int) -> list[Event]:
    """Take events until there are `many`, or one wait brings none."""
    events: list[Event] = []
    while len(events) < many:
        more = gateway.receive(wait_s=WAIT_S, limit=many - len(events))
        if not more:
            break
        events += more
    return events


def _send(line: Line, *messages: Outgoing) -> list[Accepted]:
    outcomes = line.gateway.submit(messages, deadline=HALF_MINUTE_LATER)
    assert all(isinstance(outcome, Accepted) for outcome in outcomes)
    return [outcome for outcome in outcomes if isinstance(outcome, Accepted)]


def test_the_suite_has_a_gateway_to_ask() -> None:
    assert registry.names() != ()


def test_outcomes_are_as_many_as_messages_and_in_their_order(line: Line) -> None:
    tokens = ["m1", "m2", "m3", "m4"]
    accepted = _send(line, *(an_outgoing(token, text=f"Namba {token}") for token in tokens))
    receipts = [event for event in _events(line.gateway, 4) if isinstance(event, Receipt)]

    ids = [outcome.gateway_ids[0] for outcome in accepted]
    assert len(set(ids)) == len(tokens)
    assert line.arrived() == [(PHONE, f"Namba {token}") for token in tokens]
    assert {receipt.gateway_id for receipt in receipts} == set(ids)


def test_an_empty_batch_has_no_outcomes(line: Line) -> None:
    assert line.gateway.submit([], deadline=HALF_MINUTE_LATER) == []


@pytest.mark.parametrize("text", TEXTS)
def test_the_text_arrives_once_and_unchanged(line: Line, text: str) -> None:
    _send(line, an_outgoing(text=text))

    assert line.arrived() == [(PHONE, text)]


def test_what_had_no_time_to_leave_was_not_sent_and_does_not_arrive(line: Line) -> None:
    outcomes = line.gateway.submit([an_outgoing("m1"), an_outgoing("m2")], deadline=EVENING)

    assert all(isinstance(outcome, Rejected) for outcome in outcomes)
    assert {
        (outcome.kind, outcome.code) for outcome in outcomes if isinstance(outcome, Rejected)
    } == {(RejectKind.TRANSIENT, "not-sent")}
    assert line.arrived() == []


def test_a_rejected_message_holds_up_no_other(line: Line) -> None:
    impossible = replace(an_outgoing("m2"), valid_until=EVENING)

    outcomes = line.gateway.submit(
        [an_outgoing("m1"), impossible, an_outgoing("m3", to=OTHER_PHONE)],
        deadline=HALF_MINUTE_LATER,
    )

    assert [type(outcome) for outcome in outcomes] == [Accepted, Rejected, Accepted]
    assert [number for number, _ in line.arrived()] == [PHONE, OTHER_PHONE]


def test_a_receipt_names_the_id_that_the_answer_gave(line: Line) -> None:
    (accepted,) = _send(line, an_outgoing())
    (receipt,) = _events(line.gateway, 1)

    assert isinstance(receipt, Receipt)
    assert (receipt.gateway_id, receipt.to) == (accepted.gateway_ids[0], PHONE)
    assert receipt.state is ReceiptState.DELIVERED
    assert receipt.at.utcoffset() is not None


def test_an_inbound_text_is_whole_and_names_its_sender(line: Line) -> None:
    line.say(OTHER_PHONE, "A3 NO")
    (inbound,) = _events(line.gateway, 1)

    assert isinstance(inbound, Inbound)
    assert (inbound.sender, inbound.text, inbound.lossy) == (OTHER_PHONE, "A3 NO", False)
    assert inbound.received_at.utcoffset() is not None


def test_no_more_events_come_than_asked_for(line: Line) -> None:
    for number in range(3):
        line.say(PHONE, f"A{number}")

    assert len(line.gateway.receive(wait_s=WAIT_S, limit=2)) == 2


def test_an_event_comes_again_until_it_is_acknowledged(line: Line) -> None:
    line.say(PHONE, "A3")
    (lost,) = _events(line.gateway, 1)
    after_crash = line.restart()
    (again,) = _events(after_crash, 1)
    after_crash.ack(again)

    assert again == lost
    assert line.restart().receive(wait_s=0, limit=10) == []


def test_an_event_given_back_comes_again(line: Line) -> None:
    line.say(PHONE, "A3")
    (event,) = _events(line.gateway, 1)

    line.gateway.nack(event)

    assert _events(line.gateway, 1) == [event]


def test_acknowledging_twice_is_harmless_and_in_any_order(line: Line) -> None:
    for order in permutations(range(3)):
        for number in range(3):
            line.say(PHONE, f"A{number}")
        events = _events(line.gateway, 3)
        for place in order:
            line.gateway.ack(events[place])
            line.gateway.ack(events[place])

        assert line.gateway.receive(wait_s=0, limit=10) == []
        assert line.restart().receive(wait_s=0, limit=10) == []


def test_a_restart_sends_nothing_by_itself(line: Line) -> None:
    _send(line, an_outgoing())

    line.restart()

    assert len(line.arrived()) == 1


def test_asking_tells_the_state_or_nothing(line: Line) -> None:
    (accepted,) = _send(line, an_outgoing())
    receipt = line.gateway.query(accepted.gateway_ids[0], PHONE)

    assert (receipt is not None) == line.gateway.capabilities.query
    assert receipt is None or receipt.to == PHONE
    assert line.gateway.query("no-such-id", PHONE) is None


def test_an_id_of_another_number_is_not_told(line: Line) -> None:
    (accepted,) = _send(line, an_outgoing())

    assert line.gateway.query(accepted.gateway_ids[0], OTHER_PHONE) is None


@pytest.mark.parametrize(
    "body", [b"", b"\x00\xff\xfe", b"{", b"id=1&status=DELIVRD"], ids=["empty", "octets", "torn",
    "unsigned"]
)  # fmt: skip
def test_a_forged_webhook_is_refused_and_changes_nothing(line: Line, body: bytes) -> None:
    result = line.gateway.parse_webhook(
        WebhookRequest(method="POST", path="/hooks/none", headers={}, body=body)
    )

    assert 400 <= result.status < 500
    assert result.events == ()
    assert line.gateway.receive(wait_s=0, limit=10) == []


def test_health_is_up_and_holds_no_number_or_text(line: Line) -> None:
    _send(line, an_outgoing(text="Siri"))
    health = line.gateway.health()

    assert health.state is HealthState.UP
    assert PHONE not in repr((health, line.gateway))
    assert "Siri" not in repr((health, line.gateway))


def test_capabilities_are_possible(line: Line) -> None:
    able = line.gateway.capabilities

    assert able.encodings
    assert 1 <= able.max_segments <= 255
    assert able.window >= 1
    assert able.rate_per_s > 0


def test_a_closed_gateway_takes_no_work_and_may_be_closed_again(line: Line) -> None:
    line.gateway.close(drain_s=0)
    line.gateway.close(drain_s=0)

    with pytest.raises(GatewayClosedError):
        line.gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)
    with pytest.raises(GatewayClosedError):
        line.gateway.receive(wait_s=0, limit=1)
    assert line.gateway.health().state is HealthState.DOWN
    assert line.arrived() == []


def test_an_acknowledgement_after_closing_raises_nothing(line: Line) -> None:
    line.say(PHONE, "A3")
    (event,) = _events(line.gateway, 1)
    line.gateway.close(drain_s=0)

    line.gateway.ack(event)
    line.gateway.nack(event)

    assert _events(line.restart(), 1) == [event]


def test_a_second_submit_of_a_token_is_as_the_capabilities_say(line: Line) -> None:
    """Only a gateway that says so may be trusted to notice a double send."""
    message = an_outgoing()
    outcomes = [*line.gateway.submit([message], deadline=HALF_MINUTE_LATER)]
    outcomes += line.gateway.submit([message], deadline=HALF_MINUTE_LATER)

    assert not any(isinstance(outcome, Ambiguous) for outcome in outcomes)
    assert len(line.arrived()) == (1 if line.gateway.capabilities.idempotent_submit else 2)
