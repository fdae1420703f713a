"""Texts through a modem: what the far end is given, and what is said of it.

The far end is an independent modem on a pseudo-terminal; what it was given to send is read by
another library's decoder.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Gateway,
    Outcome,
    Outgoing,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.events import Receipt
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import (
    a_route,
    arrived,
    events_of,
    in_background,
    sent_pdus,
)
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import EVENING, HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

LONG = "Kesho: shamba A. " * 20  # 340 septets, three parts
PERMANENT, TRANSIENT = RejectKind.PERMANENT, RejectKind.TRANSIENT
MESSAGE, ROUTE = Scope.MESSAGE, Scope.ROUTE


def send(gateway: Gateway, *messages: Outgoing) -> list[Outcome]:
    return gateway.submit(messages or [an_outgoing()], deadline=HALF_MINUTE_LATER)


def kind_of(outcome: Outcome) -> tuple[RejectKind, Scope, str]:
    assert isinstance(outcome, Rejected), outcome
    return outcome.kind, outcome.scope, outcome.code


def test_parts_of_a_long_text_carry_one_reference_and_the_next_text_another() -> None:
    """TS 23.040, 9.2.3.24.1."""
    with modem(report="none") as (peer, device), a_route(device) as gateway:
        outcomes = send(gateway, an_outgoing("m1", text=LONG), an_outgoing("m2", text=LONG))
        parts = [sent.part for sent in sent_pdus(peer)]

    first = parts[0][0] if parts[0] else -1
    second = (first + 1) % 256
    assert parts == [
        (reference, number, 3) for reference in (first, second) for number in (1, 2, 3)
    ]
    assert [len(outcome.gateway_ids) for outcome in outcomes if isinstance(outcome, Accepted)] == [
        3,
        3,
    ]


@pytest.mark.parametrize(
    ("asked", "carried"),
    [
        pytest.param(timedelta(minutes=7), timedelta(minutes=5), id="7 min"),
        pytest.param(timedelta(minutes=60), timedelta(minutes=55), id="60 min"),
        pytest.param(timedelta(minutes=62), timedelta(minutes=60), id="62 min"),
        pytest.param(timedelta(hours=12, minutes=30), timedelta(hours=12), id="12.5 h"),
        pytest.param(timedelta(hours=48), timedelta(hours=24), id="2 d"),
    ],
)
def test_validity_reaches_the_wire_and_is_never_longer_than_asked(
    asked: timedelta, carried: timedelta
) -> None:
    """It is rounded down to a step of TS 23.040, 9.2.3.12.1, less the instant it took to leave."""
    message = replace(an_outgoing(), valid_until=EVENING + asked)
    with modem() as (peer, device), a_route(device) as gateway:
        send(gateway, message)

        assert [sent.validity for sent in sent_pdus(peer)] == [carried]


def test_ids_are_all_different_when_the_modem_counts_round_and_each_receipt_finds_its_own() -> None:
    """300 texts to one number: the modem's reference is one octet (TS 23.040, 9.2.3.6)."""
    with modem() as (peer, device), a_route(device, daily_segments=1000) as gateway:
        messages = [an_outgoing(f"m{number}", text=f"Namba {number}") for number in range(300)]
        outcomes = send(gateway, *messages)
        receipts = [event for event in events_of(gateway, 300) if isinstance(event, Receipt)]
        peer.tell(act="count")  # all that it said before has been read then
        references = [item["reference"] for item in peer.heard("sent")]

    ids = [outcome.gateway_ids[0] for outcome in outcomes if isinstance(outcome, Accepted)]
    assert len(set(references)) == 256
    assert len(set(ids)) == 300
    assert sorted(receipt.gateway_id for receipt in receipts) == sorted(ids)


REFUSALS = [
    pytest.param(1, (PERMANENT, MESSAGE, "cms-1"), id="refused for good"),
    pytest.param(50, (PERMANENT, ROUTE, "cms-50"), id="not allowed"),
    pytest.param(42, (TRANSIENT, ROUTE, "cms-42"), id="congestion"),
    pytest.param(21, (TRANSIENT, MESSAGE, "cms-21"), id="rejected for now"),
    pytest.param(304, (PERMANENT, MESSAGE, "cms-304"), id="our defect"),
    pytest.param(322, (TRANSIENT, ROUTE, "cms-322"), id="SIM full"),
]


@pytest.mark.parametrize(("code", "kind"), REFUSALS)
def test_a_refusal_is_told_once_and_nothing_arrives(
    code: int, kind: tuple[RejectKind, Scope, str]
) -> None:
    """Faults: refused for good, refused sender, throttled."""
    with modem(cms_next=1, cms_code=code) as (peer, device), a_route(device) as gateway:
        (refused,) = send(gateway)
        (accepted,) = send(gateway, an_outgoing("m2", text="Baadaye"))

        assert kind_of(refused) == kind
        assert isinstance(accepted, Accepted)
        assert arrived(peer) == [(PHONE, "Baadaye")]


def test_a_refusal_of_the_route_holds_all_that_wait_and_fails_none() -> None:
    """Fault: refused sender. The modem is asked once, not once for each text."""
    with (
        modem(cms_next=9, cms_code=50) as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        outcomes = send(gateway, *(an_outgoing(f"m{number}") for number in range(5)))

        assert [kind_of(outcome) for outcome in outcomes] == 5 * [(PERMANENT, ROUTE, "cms-50")]
        assert len([line for line in tap.commands() if line.startswith("AT+CMGS")]) == 1
        assert arrived(peer) == []


def test_a_refusal_of_one_message_holds_up_no_other() -> None:
    with modem(cms_next=1, cms_code=1) as (peer, device), a_route(device) as gateway:
        outcomes = send(gateway, an_outgoing("m1"), an_outgoing("m2", to=OTHER_PHONE))

        assert [type(outcome) for outcome in outcomes] == [Rejected, Accepted]
        assert [number for number, _ in arrived(peer)] == [OTHER_PHONE]


@pytest.mark.parametrize("code", [332, 500, 512], ids=str)
def test_what_the_network_may_have_is_a_doubt_and_is_not_sent_again(code: int) -> None:
    with modem(cms_next=1, cms_code=code) as (peer, device), a_route(device) as gateway:
        (outcome,) = send(gateway)

        assert outcome == Ambiguous(reason=f"cms-{code}")
        assert arrived(peer) == []


def test_a_bare_error_behind_the_text_is_a_doubt() -> None:
    with (
        modem(cms_next=1, cms_code=42, verbose_errors=False) as (peer, device),
        a_route(device) as gateway,
    ):
        (outcome,) = send(gateway)

        assert outcome == Ambiguous(reason="error")
        assert arrived(peer) == []


def test_a_later_part_is_tried_three_times_with_the_same_reference() -> None:
    """Fault: a part fails. The first part is out, so what follows is a doubt."""
    with (
        modem(fail_from_part=2, cms_code=42) as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        (outcome,) = send(gateway, an_outgoing(text=LONG))
        (accepted,) = send(gateway, an_outgoing("m2"))

        sent = sent_pdus(peer)
        lengths = [line for line in tap.commands() if line.startswith("AT+CMGS")]
        assert isinstance(outcome, Ambiguous)
        assert (outcome.reason, len(outcome.gateway_ids)) == ("partial", 1)
        assert isinstance(accepted, Accepted)
        assert [part.part and part.part[1:] for part in sent] == [(1, 3), None]
        assert len(lengths) == 1 + 3 + 1


def test_a_later_part_that_is_taken_at_last_makes_the_text_whole() -> None:
    with (
        modem(fail_from_part=2, cms_code=42) as (peer, device),
        tapped(device) as tap,
        a_route(tap.device, retry_s=0.5) as gateway,
    ):
        tries = 2

        def mend() -> None:
            tap.wait(lambda: tap.controls().count(b"\x1a") >= tries)
            peer.tell(fail_from_part=0)

        with in_background(mend):
            (outcome,) = send(gateway, an_outgoing(text=LONG))

        assert isinstance(outcome, Accepted)
        assert len(outcome.gateway_ids) == 3
        assert arrived(peer) == [(PHONE, LONG)]


def test_no_more_parts_leave_within_a_day_than_the_setting_says() -> None:
    """The figure is the user's; operators may bar a SIM that sends much."""
    with modem() as (peer, device), a_route(device, daily_segments=4) as gateway:
        first, second, third = send(
            gateway,
            an_outgoing("m1", text=LONG),
            an_outgoing("m2", text=LONG),
            an_outgoing("m3", text="Fupi"),
        )
        (fourth,) = send(gateway, an_outgoing("m4", text="Fupi tena"))

        assert isinstance(first, Accepted)
        assert kind_of(second) == (TRANSIENT, ROUTE, "daily-cap")
        assert isinstance(third, Accepted)
        assert kind_of(fourth) == (TRANSIENT, ROUTE, "daily-cap")
        assert isinstance(fourth, Rejected)
        assert fourth.retry_after_s == pytest.approx(86_400, abs=60)
        assert arrived(peer) == [(PHONE, LONG), (PHONE, "Fupi")]
        assert "day's amount" in gateway.health().reason
