"""Texts that come in: read, kept until they are stored, deleted, and never lost."""

from itertools import count

import pytest

from gateway_adapters.contract import Accepted, Gateway, HealthState, Rejected
from gateway_adapters.events import Event, Inbound, Part, Receipt
from tests.gateways.peers.driver import Peer, modem
from tests.gateways.serial_modem_line import a_route, arrived, deliver_pdu, events_of
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import EVENING, HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

SECONDS = count()


def say(peer: Peer, text: str, *, sender: str = PHONE, header: bytes = b"") -> str:
    """Send a text from a phone; return its PDU."""
    pdu = deliver_pdu(sender, text, second=next(SECONDS), header=header)
    peer.tell(act="inbound", pdu=pdu)
    return pdu


def stored(peer: Peer) -> int:
    """Return how many texts lie on the SIM."""
    peer.tell(act="count")
    return int(str(peer.heard("count")[-1]["stored"]))


def inbound(events: list[Event]) -> list[Inbound]:
    return [event for event in events if isinstance(event, Inbound)]


def test_a_text_is_deleted_from_the_sim_only_once_it_is_acknowledged() -> None:
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device, own_number=OTHER_PHONE) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        say(peer, "A3 NO")
        (event,) = gateway.receive(wait_s=5, limit=1)
        before = stored(peer), [line for line in tap.commands() if line.startswith("AT+CMGD")]
        gateway.ack(event)

        assert isinstance(event, Inbound)
        assert (event.sender, event.to, event.text, event.received_at, event.part) == (
            PHONE,
            OTHER_PHONE,
            "A3 NO",
            EVENING,
            None,
        )
        assert before == (1, [])
        assert stored(peer) == 0
        assert [line for line in tap.commands() if line.startswith("AT+CMGD")] == ["AT+CMGD=1"]


def test_a_text_that_was_not_acknowledged_comes_again_as_the_same_event() -> None:
    """Fault: our database is down on inbound. Once in the end."""
    with modem() as (peer, device):
        with a_route(device) as gateway:
            say(peer, "A3")
            (first,) = gateway.receive(wait_s=5, limit=10)
            gateway.nack(first)
            assert gateway.receive(wait_s=5, limit=10) == [first]
        with a_route(device) as again:
            assert events_of(again, 1) == [first]
            assert stored(peer) == 0


def test_equal_texts_of_one_phone_are_different_events() -> None:
    with modem() as (peer, device), a_route(device) as gateway:
        for _ in range(3):
            say(peer, "A3")
        events = events_of(gateway, 3)

        assert len({event.event_id for event in events}) == 3


def test_a_text_that_the_network_hands_on_twice_is_one_event_and_leaves_no_trace() -> None:
    with modem() as (peer, device), a_route(device) as gateway:
        pdu = say(peer, "A3")
        peer.tell(act="inbound", pdu=pdu)
        events_of(gateway, 1)
        gateway.check(deadline=HALF_MINUTE_LATER)

        assert gateway.receive(wait_s=0, limit=10) == []
        assert stored(peer) == 0


@pytest.mark.parametrize("order", [(1, 2, 3), (3, 1, 2)], ids=["in order", "in disorder"])
def test_a_long_text_comes_in_its_pieces(order: tuple[int, ...]) -> None:
    with modem() as (peer, device), a_route(device) as gateway:
        for number in order:
            say(peer, f"kipande {number}", header=bytes([5, 0, 3, 77, 3, number]))
        events = inbound(events_of(gateway, 3))

        assert {event.part: event.text for event in events} == {
            Part(reference=77, number=number, total=3): f"kipande {number}" for number in (1, 2, 3)
        }


def test_a_short_code_and_a_name_come_as_they_stand() -> None:
    with modem() as (peer, device), a_route(device) as gateway:
        say(peer, "Salio 500", sender="15050")
        say(peer, "Salio 500", sender="MTANDAO")
        events = inbound(events_of(gateway, 2))

        assert [event.sender for event in events] == ["15050", "MTANDAO"]


def test_a_full_sim_is_read_and_freed_and_the_next_text_arrives() -> None:
    """Fault: SIM full, then freed; while it is full the network keeps the next text."""
    with modem(capacity=1) as (peer, device), a_route(device) as gateway:
        say(peer, "moja")
        first = gateway.receive(wait_s=5, limit=10)
        say(peer, "mbili")
        for event in first:
            gateway.ack(event)
        say(peer, "tatu")
        second = events_of(gateway, 1)

        assert [event.text for event in inbound([*first, *second])] == ["moja", "tatu"]
        assert len(peer.heard("refused_full")) == 1
        assert stored(peer) == 0


def test_a_nearly_full_sim_is_told_and_well_again_once_freed() -> None:
    with modem(capacity=5) as (peer, device), a_route(device) as gateway:
        for _ in range(4):
            say(peer, "A3")
        told = gateway.check(deadline=HALF_MINUTE_LATER)
        events_of(gateway, 4)
        again = gateway.check(deadline=HALF_MINUTE_LATER)

        assert (told.state, "nearly full" in told.reason) == (HealthState.DEGRADED, True)
        assert again.state is HealthState.UP


def test_a_send_refused_for_a_full_sim_has_the_texts_read_at_once() -> None:
    """+CMS ERROR 322; the text is not failed, it may wait."""
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        tap.swallow(b"+CMTI")
        say(peer, "A3")
        peer.tell(cms_next=1, cms_code=322)
        (outcome,) = gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)
        (event,) = inbound(events_of(gateway, 1))

        assert isinstance(outcome, Rejected)
        assert outcome.code == "cms-322"
        assert event.text == "A3"


def test_a_text_whose_announcement_was_lost_is_found_by_looking() -> None:
    with (
        modem() as (peer, device),
        tapped(device) as tap,
        a_route(tap.device, poll_s=0.2) as gateway,
    ):
        gateway.check(deadline=HALF_MINUTE_LATER)
        tap.swallow(b"+CMTI")
        say(peer, "A3")
        (event,) = inbound(events_of(gateway, 1))

        assert event.text == "A3"


def test_a_text_that_lay_on_the_sim_before_we_came_is_read() -> None:
    with modem() as (peer, device):
        say(peer, "A3")
        with a_route(device) as gateway:
            assert [event.text for event in inbound(events_of(gateway, 1))] == ["A3"]


def test_an_announcement_between_a_text_and_its_answer_is_not_lost() -> None:
    """Fault: mid-send notice. Both are handled."""
    with modem(urc_next=1, report="none") as (peer, device), a_route(device) as gateway:
        (outcome,) = gateway.submit([an_outgoing(text="B")], deadline=HALF_MINUTE_LATER)
        (event,) = inbound(events_of(gateway, 1))

        assert isinstance(outcome, Accepted)
        assert (event.sender, event.text) == ("1505", "A3")
        assert arrived(peer) == [(PHONE, "B")]


def test_a_text_that_is_handed_on_directly_is_taken_too() -> None:
    """+CMT is not asked for; a modem that sends it all the same must not lose us a text."""
    pdu = deliver_pdu(PHONE, "A3")
    with modem() as (peer, device), a_route(device) as gateway:
        gateway.check(deadline=HALF_MINUTE_LATER)
        notice = f"\r\n+CMT: ,{len(pdu) // 2 - 8}\r\n{pdu}\r\n"
        peer.tell(act="raw", hex=notice.encode("ascii").hex())

        assert [event.text for event in inbound(events_of(gateway, 1))] == ["A3"]


def test_an_unreadable_text_is_shown_as_it_is_and_does_not_stay_on_the_sim() -> None:
    """Its length field says more than there is."""
    pdu = "0791521500000099040C9152150000001000007230618150902103C119"
    with modem() as (peer, device), a_route(device) as gateway:
        peer.tell(act="inbound", pdu=pdu)
        (event,) = inbound(events_of(gateway, 1))

        assert (event.sender, event.text, event.lossy) == ("unreadable", pdu, True)
        assert stored(peer) == 0


def test_a_text_of_our_own_kept_on_the_sim_is_left_alone() -> None:
    with modem() as (peer, device), a_route(device) as gateway:
        peer.tell(act="inbound", pdu="0031000C9152150000001000008F02C119")
        say(peer, "A3")

        assert [event.text for event in inbound(events_of(gateway, 1))] == ["A3"]
        assert stored(peer) == 1


def test_many_texts_and_receipts_at_once_are_each_handled_once() -> None:
    """A report read together with another is not swallowed, nor is an announcement."""
    with modem(capacity=200) as (peer, device), a_route(device) as gateway:
        texts = [f"A{number}" for number in range(40)]
        ids = _while_texts_come_in(gateway, peer, texts)
        events = events_of(gateway, 80)

        assert sorted(event.text for event in inbound(events)) == sorted(texts)
        receipts = [event.gateway_id for event in events if isinstance(event, Receipt)]
        assert sorted(receipts) == sorted(ids)
        assert stored(peer) == 0


def _while_texts_come_in(gateway: Gateway, peer: Peer, texts: list[str]) -> list[str]:
    ids: list[str] = []
    for number, text in enumerate(texts):
        say(peer, text)
        (outcome,) = gateway.submit(
            [an_outgoing(f"m{number}", to=OTHER_PHONE)], deadline=HALF_MINUTE_LATER
        )
        assert isinstance(outcome, Accepted)
        ids += outcome.gateway_ids
    return ids
