"""Receipts and texts from phones over SMPP, as `smsc.js` sends them, faults included."""

from dataclasses import replace

import pytest

from gateway_adapters import gsm7
from gateway_adapters.contract import Accepted
from gateway_adapters.events import Event, Inbound, Part, Receipt, ReceiptState
from gateway_adapters.smpp.gateway import SmppGateway
from tests.gateways.peers.driver import Peer
from tests.gateways.smpp_line import route, say, send, settle, taken
from tests.outgoing import HALF_MINUTE_LATER, OTHER_PHONE, PHONE, an_outgoing

HEX_RECEIPT_TEXT = "id:9f0001 stat:DELIVRD"


def receipts(gateway: SmppGateway, many: int) -> list[Receipt]:
    """Take and acknowledge as many receipts."""
    return [event for event in taken(gateway, many) if isinstance(event, Receipt)]


def one_id(outcome: object) -> str:
    """Return the id of an accepted text of one part."""
    assert isinstance(outcome, Accepted)
    (gateway_id,) = outcome.gateway_ids
    return gateway_id


def mo(peer: Peer, text: bytes, **fields: object) -> None:
    """Let a phone send octets."""
    peer.tell(act="mo", **{"from": PHONE[1:]}, to="15050", hex=text.hex(), **fields)


@pytest.mark.parametrize("form", ["hex", "decimal", "mixed", "padded"])
@pytest.mark.parametrize("carrier", ["tlv", "text", "both"])
def test_a_receipt_names_the_answers_id_in_every_form(form: str, carrier: str) -> None:
    """Faults: the id is hexadecimal, decimal, one here and the other there, or padded."""
    with route({"idForm": form, "receipt": carrier}) as (_, gateway):
        outcomes = send(gateway, an_outgoing("m1"), an_outgoing("m2", to=OTHER_PHONE))
        got = receipts(gateway, 2)

        assert {(r.gateway_id, r.to) for r in got} == {
            (one_id(outcomes[0]), PHONE),
            (one_id(outcomes[1]), OTHER_PHONE),
        }
        assert {r.state for r in got} == {ReceiptState.DELIVERED}
        assert {r.code for r in got} == ({""} if carrier == "tlv" else {"000"})


def test_a_receipt_that_comes_before_the_answer_waits_for_it() -> None:
    """Fault: the receipt is first, and names the id in another form than the answer will."""
    with route({"receiptFirst": True, "idForm": "mixed", "lateMs": 50}) as (_, gateway):
        (outcome,) = send(gateway, an_outgoing())
        (receipt,) = receipts(gateway, 1)

        assert receipt.gateway_id == one_id(outcome)
        assert gateway.receive(wait_s=0, limit=10) == []


def test_a_receipt_that_comes_twice_is_the_same_event() -> None:
    """Fault: each receipt is sent twice."""
    with route({"receiptTimes": 2}) as (peer, gateway):
        (outcome,) = send(gateway, an_outgoing())
        first, second = receipts(gateway, 2)

        assert first == second
        assert first.gateway_id == one_id(outcome)
        assert [a["status"] for a in peer.wait_for("deliver_sm_resp", count=2)] == [0, 0]


def test_receipts_out_of_order_find_their_texts() -> None:
    """Fault: three receipts, the newest first."""
    with route({"receiptHold": 3}) as (_, gateway):
        outcomes = send(gateway, *(an_outgoing(f"m{n}", text=f"A{n}") for n in range(3)))

        assert [r.gateway_id for r in receipts(gateway, 3)] == [
            one_id(outcome) for outcome in reversed(outcomes)
        ]


def test_a_receipt_for_an_unknown_id_is_passed_on_as_it_stands() -> None:
    """Fault: a stray receipt; the service keeps it for an hour and files it."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(act="strayReceipt")
        (receipt,) = receipts(gateway, 1)

        assert (receipt.gateway_id, receipt.to) == ("7777777", PHONE)
        assert peer.wait_for("deliver_sm_resp")[0]["status"] == 0


def test_an_interim_notice_says_submitted_and_the_end_follows() -> None:
    """Fault: an ACCEPTD notice before the final receipt."""
    with route({"interim": True}) as (_, gateway):
        (outcome,) = send(gateway, an_outgoing())

        assert [(r.gateway_id, r.state) for r in receipts(gateway, 2)] == [
            (one_id(outcome), ReceiptState.SUBMITTED),
            (one_id(outcome), ReceiptState.DELIVERED),
        ]


@pytest.mark.parametrize(
    ("stat", "state"),
    [
        ("UNDELIV", ReceiptState.FAILED),
        ("REJECTD", ReceiptState.FAILED),
        ("EXPIRED", ReceiptState.EXPIRED),
        ("DELETED", ReceiptState.FAILED),
        ("UNKNOWN", ReceiptState.UNKNOWN),
        ("ENROUTE", ReceiptState.SUBMITTED),
    ],
)
@pytest.mark.parametrize("carrier", ["tlv", "text"])
def test_each_end_of_a_text_is_told(stat: str, state: ReceiptState, carrier: str) -> None:
    """SMPP 3.4, 5.2.28 and appendix B."""
    with route({"stat": stat, "err": "0A1", "receipt": carrier}) as (_, gateway):
        send(gateway, an_outgoing())
        (receipt,) = receipts(gateway, 1)

        assert receipt.state is state
        assert receipt.code == ("" if carrier == "tlv" else "0A1")


def test_no_receipt_comes_where_none_was_asked_for() -> None:
    """registered_delivery says whether a receipt is wanted (SMPP 3.4, 5.2.17)."""
    with route() as (peer, gateway):
        unwanted = replace(an_outgoing("m2", to=OTHER_PHONE), want_receipt=False)
        send(gateway, unwanted, an_outgoing("m1"))

        assert [r.to for r in receipts(gateway, 1)] == [PHONE]
        assert [item["wantsReceipt"] for item in peer.heard("submit")] == [False, True]


def test_a_grower_who_types_a_receipt_has_sent_a_text() -> None:
    """esm_class 0 and no parameter: a receipt only where the route's setting says so."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        say(peer, PHONE, HEX_RECEIPT_TEXT)
        (event,) = taken(gateway, 1)

        assert isinstance(event, Inbound)
        assert event.text == HEX_RECEIPT_TEXT


def test_a_receipt_without_a_mark_is_one_where_the_setting_says_so() -> None:
    with route(untyped_receipts=True) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        say(peer, PHONE, HEX_RECEIPT_TEXT)
        (event,) = taken(gateway, 1)

        assert isinstance(event, Receipt)
        assert event.gateway_id == "9f0001"


@pytest.mark.parametrize(
    ("octets", "coding", "text", "lossy"),
    [
        (gsm7.encode("@ $ _ é [A3] 5€"), 0, "@ $ _ é [A3] 5€", False),
        (b"A3 NDIYO", 1, "A3 NDIYO", False),
        ("é A3".encode("latin-1"), 3, "é A3", False),
        ("ነገ 🌱".encode("utf-16-be"), 8, "ነገ 🌱", False),
        (b"A3", 4, "A3", True),
        (b"\xd8", 8, "\ufffd", True),
    ],
    ids=["default", "ascii", "latin-1", "ucs-2", "binary", "half a letter"],
)
def test_a_text_is_read_in_its_coding(octets: bytes, coding: int, text: str, lossy: bool) -> None:  # noqa: FBT001 -- a row
    """SMPP 3.4, 5.2.19."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        mo(peer, octets, coding=coding)
        (event,) = taken(gateway, 1)

        assert isinstance(event, Inbound)
        assert (event.sender, event.to, event.text, event.lossy) == (PHONE, "15050", text, lossy)


@pytest.mark.parametrize("header", ["050003110201", "06080400110201"], ids=["8 bit", "16 bit"])
def test_the_pieces_of_a_long_text_are_named(header: str) -> None:
    """TS 23.040, 9.2.3.24.1 and 9.2.3.24.8; piece 1 of 2 with reference 17."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        mo(peer, gsm7.encode("Nimemaliza "), udh=header)
        (event,) = taken(gateway, 1)

        assert isinstance(event, Inbound)
        assert event.text == "Nimemaliza "
        assert event.part == Part(reference=17, number=1, total=2)


def test_a_text_that_the_service_could_not_store_comes_again() -> None:
    """Fault: our database is down; the centre is told to try later, and is not lied to."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        say(peer, PHONE, "A3")
        (first,) = _one(gateway)
        gateway.nack(first)
        (second,) = _one(gateway)
        gateway.ack(second)

        assert first == second
        assert [a["status"] for a in peer.wait_for("deliver_sm_resp", count=2)] == [0x64, 0]


def test_the_same_words_said_again_are_a_new_text() -> None:
    """A phone may answer A3 twice; only what was not acknowledged is the same event."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        ids: set[str] = set()
        for _ in range(3):
            say(peer, PHONE, "A3")
            ids |= {event.event_id for event in taken(gateway, 1)}

        assert len(ids) == 3


def test_nothing_is_answered_before_it_is_acknowledged() -> None:
    """The centre's own log, after it has had an answer to a later question."""
    with route() as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        say(peer, PHONE, "A3")
        (event,) = _one(gateway)
        settle(peer)
        before = peer.heard("deliver_sm_resp")
        gateway.ack(event)

        assert before == []
        assert peer.wait_for("deliver_sm_resp")[0]["status"] == 0


def test_what_nobody_acknowledges_is_given_back_after_a_while() -> None:
    """Never silence: the centre is told to try later, and the event comes again."""
    with route(delivery_s=0.05) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        say(peer, PHONE, "A3")
        (first,) = _one(gateway)
        answers = peer.wait_for("deliver_sm_resp")
        (second,) = _one(gateway)

        assert answers[0]["status"] == 0x64
        assert first == second


def test_a_centre_can_ask_and_phones_can_write_while_the_window_is_full() -> None:
    """Fault: enquire_link and a text arrive in the middle of a slow submit."""
    with route({"lateMs": 100, "receipt": "none"}, window=1) as (peer, gateway):
        gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(act="enquire")
        say(peer, OTHER_PHONE, "A3")
        outcomes = send(gateway, *(an_outgoing(f"m{n}", text=f"A{n}") for n in range(3)))
        peer.tell(act="enquire")
        (event,) = taken(gateway, 1)

        assert all(isinstance(outcome, Accepted) for outcome in outcomes)
        assert isinstance(event, Inbound)
        assert event.sender == OTHER_PHONE
        peer.wait_for("enquire_link_resp", count=2)


def _one(gateway: SmppGateway) -> list[Event]:
    return gateway.receive(wait_s=5, limit=1)
