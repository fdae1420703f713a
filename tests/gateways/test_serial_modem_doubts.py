"""Texts of which nobody knows whether they left: never sent twice, and repaired where possible."""

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from time import monotonic

from gateway_adapters.contract import Accepted, Ambiguous, Gateway, Outcome, Rejected
from gateway_adapters.events import LateAnswer, Receipt, ReceiptState
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import (
    a_route,
    arrived,
    events_of,
    in_background,
    report_line,
    report_notice,
)
from tests.gateways.serial_modem_scripted import scripted
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import EVENING, HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

LONG = "Kesho: shamba A. " * 20


def send(gateway: Gateway, token: str = "m1", *, to: str = PHONE, text: str = "A") -> Outcome:  # noqa: S107 -- a message's id
    (outcome,) = gateway.submit([an_outgoing(token, to=to, text=text)], deadline=HALF_MINUTE_LATER)
    return outcome


def test_silence_after_the_modem_took_the_text_is_repaired_by_the_receipt() -> None:
    """Fault: cut after the gateway took it. The peer counts one text."""
    with modem(silent_next=1) as (peer, device), a_route(device, answer_s=0.3) as gateway:
        doubt = send(gateway)
        late, receipt = events_of(gateway, 2)

        assert doubt == Ambiguous(reason="no-answer")
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert late.token == "m1"  # noqa: S105 -- a message's id
        assert late.gateway_ids == (receipt.gateway_id,)
        assert (receipt.to, receipt.state) == (PHONE, ReceiptState.DELIVERED)
        assert arrived(peer) == [(PHONE, "A")]


def test_silence_though_the_modem_lost_the_text_stays_a_doubt() -> None:
    """Fault: cut, not taken. The peer counts none, and we send none."""
    with modem(lost_next=1) as (peer, device), a_route(device, answer_s=0.3) as gateway:
        doubt = send(gateway)
        accepted = send(gateway, "m2", text="B")
        (receipt,) = events_of(gateway, 1)

        assert doubt == Ambiguous(reason="no-answer")
        assert isinstance(accepted, Accepted)
        assert isinstance(receipt, Receipt)
        assert receipt.gateway_id == accepted.gateway_ids[0]
        assert arrived(peer) == [(PHONE, "B")]


def test_an_answer_behind_the_deadline_attaches() -> None:
    """Fault: late answer. The caller is told of its doubt in time."""
    with modem(answer_ms=600) as (peer, device), a_route(device) as gateway:
        gateway.check(deadline=HALF_MINUTE_LATER)
        began = monotonic()
        (doubt,) = gateway.submit([an_outgoing()], deadline=EVENING + timedelta(seconds=0.3))
        took_s = monotonic() - began
        late, receipt = events_of(gateway, 2)

        assert doubt == Ambiguous(reason="no-answer")
        assert took_s < 0.3 * 1.1 + 0.2
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert late.gateway_ids == (receipt.gateway_id,)
        assert len(arrived(peer)) == 1


def test_an_answer_behind_our_own_patience_attaches() -> None:
    with modem(answer_ms=600) as (peer, device), a_route(device, answer_s=0.3, late_s=5) as route:
        doubt = send(route)
        late, receipt = events_of(route, 2)

        assert doubt == Ambiguous(reason="no-answer")
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert len(arrived(peer)) == 1


def test_what_waits_behind_a_silent_modem_is_not_sent_and_said_so_in_time() -> None:
    with modem(silent_next=1) as (peer, device), a_route(device, late_s=60) as gateway:
        gateway.check(deadline=HALF_MINUTE_LATER)
        began = monotonic()
        first, second = gateway.submit(
            [an_outgoing("m1"), an_outgoing("m2", to=OTHER_PHONE)],
            deadline=EVENING + timedelta(seconds=0.3),
        )
        took_s = monotonic() - began

        assert isinstance(first, Ambiguous)
        assert isinstance(second, Rejected)
        assert second.code == "not-sent"
        assert took_s < 0.3 * 1.1 + 0.2
        assert [number for number, _ in arrived(peer)] == [PHONE]


def test_a_reset_behind_the_text_is_a_doubt_and_the_modem_is_set_up_anew() -> None:
    """Fault: reset in the middle; the next text goes out, and its receipt comes back."""
    with modem(reset_next=1) as (peer, device), a_route(device) as gateway:
        doubt = send(gateway)
        accepted = send(gateway, "m2", text="B")
        (receipt,) = events_of(gateway, 1)

        assert doubt == Ambiguous(reason="modem-reset")
        assert isinstance(accepted, Accepted)
        assert isinstance(receipt, Receipt)
        assert receipt.gateway_id == accepted.gateway_ids[0]
        assert arrived(peer) == [(PHONE, "B")]


def test_a_reset_without_a_boot_line_is_seen_before_the_next_text_leaves() -> None:
    """The echo is back: what is typed then would be misread. The text is not sent, and may wait."""
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        told = len(tap.told())
        tap.inject(b"ATZ\r")
        tap.wait(lambda: b"OK" in tap.told()[told:])
        refused = send(gateway)
        accepted = send(gateway, "m2", text="B")

        assert isinstance(refused, Rejected)
        assert refused.code == "not-sent"
        assert isinstance(accepted, Accepted)
        assert arrived(peer) == [(PHONE, "B")]


def test_an_echo_is_a_reset_also_where_the_modem_asks_for_the_text() -> None:
    """In its own mode after a start, a modem would send the octets of the PDU as letters."""

    def answer(command: str) -> Sequence[str] | None:
        return (command, "> ") if command.startswith("AT+CMGS=") else None

    with scripted(answer) as far, a_route(far.device, answer_s=0.3) as gateway:
        refused = send(gateway)
        gateway.check(deadline=HALF_MINUTE_LATER)

        assert isinstance(refused, Rejected)
        assert refused.code == "not-sent"
        assert far.commands.count("ATE0") == 2


def test_what_its_caller_was_told_not_to_have_left_does_not_leave() -> None:
    """The prompt comes behind the deadline: the text is given up at the prompt."""
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device, prompt_s=5) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        tap.swallow(b"> ")
        (refused,) = gateway.submit([an_outgoing()], deadline=EVENING + timedelta(seconds=0.2))
        escapes = tap.controls().count(b"\x1b")
        tap.swallow()
        tap.say(b"\r\n> ")
        tap.wait(lambda: tap.controls().count(b"\x1b") == escapes + 1)
        accepted = send(gateway, "m2", text="B")

        assert isinstance(refused, Rejected)
        assert refused.code == "not-sent"
        assert isinstance(accepted, Accepted)
        assert arrived(peer) == [(PHONE, "B")]


def test_two_doubts_to_one_number_are_not_guessed_at() -> None:
    """Fault: two candidates; none is matched."""
    with (
        modem(silent_next=2, report="none") as (_, device),
        tapped(device) as tap,
        a_route(tap.device, answer_s=0.3, late_s=0.05) as gateway,
    ):
        doubts = [send(gateway, token) for token in ("m1", "m2")]
        gateway.check(deadline=HALF_MINUTE_LATER)
        tap.say(report_notice(report_line(1)))
        (receipt,) = events_of(gateway, 1)

        assert doubts == 2 * [Ambiguous(reason="no-answer")]
        assert isinstance(receipt, Receipt)
        assert receipt.gateway_id.startswith("unmatched-1-")


def test_a_doubt_in_the_last_part_is_repaired_for_the_whole_text() -> None:
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device, answer_s=0.3, late_s=0.1) as gateway,
    ):

        def silence() -> None:
            tap.wait(lambda: tap.told().count(b"> ") == 3)
            tap.swallow(b"+CMGS: ")

        with in_background(silence):
            (outcome,) = gateway.submit([an_outgoing(text=LONG)], deadline=HALF_MINUTE_LATER)
        events = events_of(gateway, 4 if isinstance(outcome, Ambiguous) else 3)

        late = [event for event in events if isinstance(event, LateAnswer)]
        receipts = [event.gateway_id for event in events if isinstance(event, Receipt)]
        assert isinstance(outcome, Ambiguous)
        assert outcome.gateway_ids == tuple(receipts[:2])
        assert [answer.gateway_ids for answer in late] == [tuple(receipts)]
        assert arrived(peer) == [(PHONE, LONG)]


def test_a_doubt_is_repaired_after_a_restart_too(tmp_path: Path) -> None:
    """The process ends in the middle; the report comes to the next one."""
    with modem(silent_next=1, report="none") as (peer, device):
        with a_route(device, folder=str(tmp_path), answer_s=0.3, late_s=0.05) as gateway:
            doubt = send(gateway, "m7")
        with tapped(device) as tap, a_route(tap.device, folder=str(tmp_path)) as again:
            again.check(deadline=HALF_MINUTE_LATER)
            tap.say(report_notice(report_line(1)))
            late, receipt = events_of(again, 2)

        assert doubt == Ambiguous(reason="no-answer")
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert (late.token, late.gateway_ids) == ("m7", (receipt.gateway_id,))
        assert len(arrived(peer)) == 1
