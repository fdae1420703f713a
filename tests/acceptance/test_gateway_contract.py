"""The contract, asked of every installed gateway (`gateway_adapters.contract`).

A new gateway joins by its entry point and a fixture `<name>_line`; this folder's conftest has those
of the gateways here.
The rules are the contract's own: no outside source.
"""

from dataclasses import replace
from itertools import permutations

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Encoding,
    Gateway,
    HealthState,
    Outgoing,
    Rejected,
    RejectKind,
    Scope,
    Segments,
    WebhookRequest,
)
from gateway_adapters.errors import GatewayClosedError
from gateway_adapters.events import Event, Inbound, Receipt, ReceiptState, Screen
from tests.gateways.check_texts import CHECKED
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
    """C1: One gateway at least is installed, or the rows below say nothing."""
    assert registry.names() != ()


def test_outcomes_are_as_many_as_messages_and_in_their_order(line: Line) -> None:
    """C1: Four texts, four outcomes, each with the id under which its own text is known."""
    tokens = ["m1", "m2", "m3", "m4"]
    accepted = _send(line, *(an_outgoing(token, text=f"Namba {token}") for token in tokens))
    receipts = [event for event in _events(line.gateway, 4) if isinstance(event, Receipt)]

    ids = [outcome.gateway_ids[0] for outcome in accepted]
    assert len(set(ids)) == len(tokens)
    assert line.arrived() == [(PHONE, f"Namba {token}") for token in tokens]
    assert {receipt.gateway_id for receipt in receipts} == set(ids)


def test_an_empty_batch_has_no_outcomes(line: Line) -> None:
    """C1: Nothing in, nothing out."""
    assert line.gateway.submit([], deadline=HALF_MINUTE_LATER) == []


def test_every_text_of_the_check_table_arrives_unchanged(line: Line) -> None:
    """C6: Every length and letter at which a text is split or changes its alphabet."""
    _send(line, *(an_outgoing(f"m{place}", text=text) for place, text in enumerate(CHECKED)))

    # long texts may be overtaken by short ones
    assert sorted(text for _, text in line.arrived()) == sorted(CHECKED)


@pytest.mark.parametrize("text", TEXTS)
def test_the_text_arrives_once_and_unchanged(line: Line, text: str) -> None:
    """C6: By a decoder that is not ours, where there is one."""
    _send(line, an_outgoing(text=text))

    assert line.arrived() == [(PHONE, text)]


def test_what_had_no_time_to_leave_was_not_sent_and_does_not_arrive(line: Line) -> None:
    """C3, C5: Without time left, nothing leaves."""
    outcomes = line.gateway.submit([an_outgoing("m1"), an_outgoing("m2")], deadline=EVENING)

    assert all(isinstance(outcome, Rejected) for outcome in outcomes)
    assert {
        (outcome.kind, outcome.code) for outcome in outcomes if isinstance(outcome, Rejected)
    } == {(RejectKind.TRANSIENT, "not-sent")}
    assert line.arrived() == []


def test_a_rejected_message_holds_up_no_other(line: Line) -> None:
    """C2: Its time is over already; that is an outcome, and no exception."""
    impossible = replace(an_outgoing("m2"), valid_until=EVENING)

    outcomes = line.gateway.submit(
        [an_outgoing("m1"), impossible, an_outgoing("m3", to=OTHER_PHONE)],
        deadline=HALF_MINUTE_LATER,
    )

    assert [type(outcome) for outcome in outcomes] == [Accepted, Rejected, Accepted]
    assert [number for number, _ in line.arrived()] == [PHONE, OTHER_PHONE]


def test_a_receipt_names_the_id_that_the_answer_gave(line: Line) -> None:
    """C8: Its number, its id, an instant with a zone."""
    (accepted,) = _send(line, an_outgoing())
    (receipt,) = _events(line.gateway, 1)

    assert isinstance(receipt, Receipt)
    assert (receipt.gateway_id, receipt.to) == (accepted.gateway_ids[0], PHONE)
    assert receipt.state is ReceiptState.DELIVERED
    assert receipt.at.utcoffset() is not None


def test_an_inbound_text_is_whole_and_names_its_sender(line: Line) -> None:
    """C10: A short one."""
    line.say(OTHER_PHONE, "A3 NO")
    (inbound,) = _events(line.gateway, 1)

    assert isinstance(inbound, Inbound)
    assert (inbound.sender, inbound.text, inbound.lossy) == (OTHER_PHONE, "A3 NO", False)
    assert inbound.received_at.utcoffset() is not None


def test_no_more_events_come_than_asked_for(line: Line) -> None:
    """C10: Two of three."""
    for number in range(3):
        line.say(PHONE, f"A{number}")

    assert len(line.gateway.receive(wait_s=WAIT_S, limit=2)) == 2


def test_an_event_comes_again_until_it_is_acknowledged(line: Line) -> None:
    """C10: Our process ends between the two; the event is the same."""
    line.say(PHONE, "A3")
    (lost,) = _events(line.gateway, 1)
    after_crash = line.restart()
    (again,) = _events(after_crash, 1)
    after_crash.ack(again)

    assert again == lost
    assert line.restart().receive(wait_s=0, limit=10) == []


def test_an_event_given_back_comes_again(line: Line) -> None:
    """C10: Given back, not lost."""
    line.say(PHONE, "A3")
    (event,) = _events(line.gateway, 1)

    line.gateway.nack(event)

    assert _events(line.gateway, 1) == [event]


def test_acknowledging_twice_is_harmless_and_in_any_order(line: Line) -> None:
    """C10: Three events, each order of their acknowledgements."""
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
    """C4: What has left before is not sent again."""
    _send(line, an_outgoing())

    line.restart()

    assert len(line.arrived()) == 1


def test_asking_tells_the_state_or_nothing(line: Line) -> None:
    """C18: A gateway that declares it can be asked, answers."""
    (accepted,) = _send(line, an_outgoing())
    receipt = line.gateway.query(accepted.gateway_ids[0], PHONE)

    assert (receipt is not None) == line.gateway.capabilities.query
    assert receipt is None or receipt.to == PHONE
    assert line.gateway.query("no-such-id", PHONE) is None


def test_an_id_of_another_number_is_not_told(line: Line) -> None:
    """C18: Nothing is told of a text to somebody else."""
    (accepted,) = _send(line, an_outgoing())

    assert line.gateway.query(accepted.gateway_ids[0], OTHER_PHONE) is None


@pytest.mark.parametrize(
    "body", [b"", b"\x00\xff\xfe", b"{", b"id=1&status=DELIVRD"], ids=["empty", "octets", "torn",
    "unsigned"]
)  # fmt: skip
def test_a_forged_webhook_is_refused_and_changes_nothing(line: Line, body: bytes) -> None:
    """C16: Octets that nobody signed."""
    result = line.gateway.parse_webhook(
        WebhookRequest(method="POST", path="/hooks/none", headers={}, body=body)
    )

    assert 400 <= result.status < 500
    assert result.events == ()
    assert line.gateway.receive(wait_s=0, limit=10) == []


def test_health_is_up_and_holds_no_number_or_text(line: Line) -> None:
    """C17: Neither number nor text in what a gateway shows of itself."""
    _send(line, an_outgoing(text="Siri"))
    health = line.gateway.health()

    assert health.state is HealthState.UP
    assert PHONE not in repr((health, line.gateway))
    assert "Siri" not in repr((health, line.gateway))


def test_a_check_finds_it_up_and_sends_nothing(line: Line) -> None:
    """C5: A look at the route is no text."""
    health = line.gateway.check(deadline=HALF_MINUTE_LATER)

    assert health.state is HealthState.UP
    assert line.arrived() == []


def test_a_screen_for_a_session_that_nobody_has_is_gone(line: Line) -> None:
    """C21: Also where a gateway has no menus."""
    assert line.gateway.answer_ussd("no-such-session", Screen(text="1.A", finish=False)).gone


def test_capabilities_are_possible(line: Line) -> None:
    """C18: Within what a network can carry."""
    able = line.gateway.capabilities

    assert able.encodings
    assert 1 <= able.max_segments <= 255
    assert able.window >= 1
    assert able.rate_per_s > 0


def test_more_parts_than_declared_are_refused_and_none_arrives(line: Line) -> None:
    """C18: One part more than the gateway says that it takes; the next text goes."""
    parts = ("a" * 153,) * (line.gateway.capabilities.max_segments + 1)
    text = "".join(parts)
    segments = Segments(encoding=Encoding.GSM7, length=len(text), parts=parts)
    too_long = replace(an_outgoing("m1"), text=text, segments=segments)

    outcomes = line.gateway.submit(
        [too_long, an_outgoing("m2", text="A")], deadline=HALF_MINUTE_LATER
    )

    assert isinstance(outcomes[0], Rejected)
    assert (outcomes[0].kind, outcomes[0].scope) == (RejectKind.PERMANENT, Scope.MESSAGE)
    assert isinstance(outcomes[1], Accepted)
    assert line.arrived() == [(PHONE, "A")]


def test_a_closed_gateway_takes_no_work_and_may_be_closed_again(line: Line) -> None:
    """C14: Down, and nothing leaves."""
    line.gateway.close(drain_s=0)
    line.gateway.close(drain_s=0)

    with pytest.raises(GatewayClosedError):
        line.gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)
    with pytest.raises(GatewayClosedError):
        line.gateway.receive(wait_s=0, limit=1)
    assert line.gateway.health().state is HealthState.DOWN
    assert line.arrived() == []


def test_an_acknowledgement_after_closing_raises_nothing(line: Line) -> None:
    """C14: Too late to be told on; the event comes again."""
    line.say(PHONE, "A3")
    (event,) = _events(line.gateway, 1)
    line.gateway.close(drain_s=0)

    line.gateway.ack(event)
    line.gateway.nack(event)

    assert _events(line.restart(), 1) == [event]


def test_a_second_submit_of_a_token_is_as_the_capabilities_say(line: Line) -> None:
    """C18: Only a gateway that says so may be trusted to notice a double send."""
    message = an_outgoing()
    outcomes = [*line.gateway.submit([message], deadline=HALF_MINUTE_LATER)]
    outcomes += line.gateway.submit([message], deadline=HALF_MINUTE_LATER)

    assert not any(isinstance(outcome, Ambiguous) for outcome in outcomes)
    assert len(line.arrived()) == (1 if line.gateway.capabilities.idempotent_submit else 2)
