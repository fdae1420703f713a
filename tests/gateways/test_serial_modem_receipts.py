"""Receipts of a modem, in every form and order in which they come."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from gateway_adapters.contract import Accepted, Gateway
from gateway_adapters.events import Event, Receipt, ReceiptState
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import (
    a_route,
    arrived,
    events_of,
    in_background,
    report_line,
    report_notice,
)
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

DONE_AT = datetime(2027, 3, 16, 15, 5, 9, tzinfo=UTC)  # as the modem stamps all its reports
LONG = "Kesho: shamba A. " * 20


def sent_id(gateway: Gateway, token: str = "m1", *, to: str = PHONE) -> str:  # noqa: S107 -- a message's id
    """Send a text and return its id."""
    (outcome,) = gateway.submit([an_outgoing(token, to=to)], deadline=HALF_MINUTE_LATER)
    assert isinstance(outcome, Accepted)
    return outcome.gateway_ids[0]


def receipts(events: list[Event]) -> list[Receipt]:
    assert all(isinstance(event, Receipt) for event in events)
    return [event for event in events if isinstance(event, Receipt)]


@pytest.mark.parametrize("report", ["cds", "cdsi"])
def test_reports_at_once_and_reports_stored_come_to_the_same(report: str) -> None:
    with modem(report=report) as (_, device), a_route(device) as gateway:
        gateway_id = sent_id(gateway)
        (receipt,) = receipts(events_of(gateway, 1))

        assert (receipt.gateway_id, receipt.to, receipt.state, receipt.at, receipt.code) == (
            gateway_id,
            PHONE,
            ReceiptState.DELIVERED,
            DONE_AT,
            "00",
        )


def test_a_stored_report_is_deleted_only_once_it_is_acknowledged() -> None:
    with modem(report="cdsi") as (peer, device), a_route(device) as gateway:
        sent_id(gateway)
        (receipt,) = gateway.receive(wait_s=5, limit=1)
        peer.tell(act="count")
        gateway.ack(receipt)
        peer.tell(act="count")

        assert [count["stored"] for count in peer.heard("count")] == [1, 0]


STATES = [
    pytest.param(0x20, ReceiptState.SUBMITTED, id="20"),
    pytest.param(0x30, ReceiptState.SUBMITTED, id="30"),
    pytest.param(0x41, ReceiptState.FAILED, id="41"),
    pytest.param(0x46, ReceiptState.EXPIRED, id="46"),
    pytest.param(0x60, ReceiptState.FAILED, id="60"),
    pytest.param(0x80, ReceiptState.UNKNOWN, id="80"),
]


@pytest.mark.parametrize(("status", "state"), STATES)
def test_interim_failed_and_expired(status: int, state: ReceiptState) -> None:
    """TS 23.040, 9.2.3.15."""
    with modem(report_status=status) as (_, device), a_route(device) as gateway:
        sent_id(gateway)
        (receipt,) = receipts(events_of(gateway, 1))

        assert (receipt.state, receipt.code) == (state, f"{status:02X}")


def test_a_receipt_before_the_answer_finds_its_text() -> None:
    """Fault: the report passes the answer on its way. The modem counts from 1."""
    with (
        modem(report="none") as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        tap.swallow(b"+CMGS: ")

        def answer() -> None:
            tap.wait(lambda: b"\x1a" in tap.controls())
            tap.say(report_notice(report_line(1)) + b"\r\n+CMGS: 1\r\n\r\nOK\r\n")

        with in_background(answer):
            gateway_id = sent_id(gateway)
        (receipt,) = receipts(events_of(gateway, 1))

        assert receipt.gateway_id == gateway_id
        assert len(arrived(peer)) == 1


def test_a_report_at_the_same_moment_as_the_answer_finds_its_text() -> None:
    """Fault: receipt before the answer, as the peer does it."""
    with modem(report_ms=0) as (_, device), a_route(device) as gateway:
        gateway_id = sent_id(gateway)
        (receipt,) = receipts(events_of(gateway, 1))

        assert receipt.gateway_id == gateway_id


@pytest.mark.parametrize("report", ["cds", "cdsi"])
def test_a_report_that_comes_twice_has_one_id(report: str) -> None:
    """Fault: duplicate receipts. What is not yet taken is one event, later ones are the same."""
    with modem(report=report, report_times=2) as (_, device), a_route(device) as gateway:
        first, second = sent_id(gateway, "m1"), sent_id(gateway, "m2", to=OTHER_PHONE)
        seen: set[Receipt] = set()
        while {receipt.gateway_id for receipt in seen} != {first, second}:
            seen |= set(receipts(events_of(gateway, 1)))
        gateway.check(deadline=HALF_MINUTE_LATER)
        seen |= set(receipts(gateway.receive(wait_s=0, limit=10)))

        assert len({receipt.event_id for receipt in seen}) == 2
        assert {receipt.state for receipt in seen} == {ReceiptState.DELIVERED}


def test_reports_in_disorder_each_find_their_text() -> None:
    with (
        modem(report="none") as (_, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        ids = [sent_id(gateway, f"m{number}") for number in range(3)]
        tap.say(b"".join(report_notice(report_line(reference)) for reference in (3, 1, 2)))
        found = receipts(events_of(gateway, 3))

        assert [receipt.gateway_id for receipt in found] == [ids[2], ids[0], ids[1]]


def test_an_interim_report_and_then_the_last_one() -> None:
    with (
        modem(report="none") as (_, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        gateway_id = sent_id(gateway)
        for status in (0x30, 0x00):
            tap.say(report_notice(report_line(1, status=status)))
        found = receipts(events_of(gateway, 2))

        assert [(receipt.gateway_id, receipt.state) for receipt in found] == [
            (gateway_id, ReceiptState.SUBMITTED),
            (gateway_id, ReceiptState.DELIVERED),
        ]
        assert len({receipt.event_id for receipt in found}) == 2


def test_a_report_for_an_unknown_text_is_handed_on_under_an_id_of_its_own() -> None:
    """Fault: receipt for an unknown id; the service keeps it for an hour and files it."""
    with modem(wrong_reference=True) as (_, device), a_route(device) as gateway:
        gateway_id = sent_id(gateway)
        (receipt,) = receipts(events_of(gateway, 1))

        assert receipt.gateway_id != gateway_id
        assert receipt.gateway_id.startswith("unmatched-101-")
        assert (receipt.to, receipt.state) == (PHONE, ReceiptState.DELIVERED)


def test_a_report_of_another_number_is_not_ours() -> None:
    with (
        modem(report="none") as (_, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        sent_id(gateway)
        tap.say(report_notice(report_line(1, to=OTHER_PHONE)))
        (receipt,) = receipts(events_of(gateway, 1))

        assert receipt.gateway_id.startswith("unmatched-1-")


def test_a_report_that_names_our_number_in_its_national_form_finds_its_text() -> None:
    with (
        modem(report="none") as (_, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        gateway_id = sent_id(gateway)
        tap.say(report_notice(report_line(1, to="0100000001")))
        (receipt,) = receipts(events_of(gateway, 1))

        assert (receipt.gateway_id, receipt.to) == (gateway_id, PHONE)


def test_each_part_of_a_long_text_has_its_receipt() -> None:
    with modem() as (_, device), a_route(device) as gateway:
        (outcome,) = gateway.submit([an_outgoing(text=LONG)], deadline=HALF_MINUTE_LATER)
        found = receipts(events_of(gateway, 3))

        assert isinstance(outcome, Accepted)
        assert [receipt.gateway_id for receipt in found] == list(outcome.gateway_ids)


def test_a_text_without_a_wish_for_a_receipt_gets_none() -> None:
    with modem() as (_, device), a_route(device) as gateway:
        message = replace(an_outgoing(), want_receipt=False)
        gateway.submit([message], deadline=HALF_MINUTE_LATER)
        gateway_id = sent_id(gateway, "m2")
        (receipt,) = receipts(events_of(gateway, 1))

        assert receipt.gateway_id == gateway_id


def test_a_receipt_after_a_restart_finds_its_text_by_the_folder(tmp_path: Path) -> None:
    with modem(report="none") as (peer, device):
        with a_route(device, folder=str(tmp_path)) as gateway:
            gateway_id = sent_id(gateway)
        with tapped(device) as tap, a_route(tap.device, folder=str(tmp_path)) as again:
            again.check(deadline=HALF_MINUTE_LATER)
            tap.say(report_notice(report_line(1)))
            (receipt,) = receipts(events_of(again, 1))

        assert receipt.gateway_id == gateway_id
        assert len(arrived(peer)) == 1


def test_a_stored_receipt_is_the_same_event_after_a_restart(tmp_path: Path) -> None:
    with modem(report="cdsi") as (_, device):
        with a_route(device, folder=str(tmp_path)) as gateway:
            sent_id(gateway)
            (lost,) = gateway.receive(wait_s=5, limit=1)
        with a_route(device, folder=str(tmp_path)) as again:
            (found,) = events_of(again, 1)

        assert found == lost
