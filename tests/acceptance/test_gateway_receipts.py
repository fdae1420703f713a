"""Receipts and long texts from phones, in every order: the records end the same."""

from itertools import permutations
from pathlib import Path

import pytest

from gateway_adapters import gsm7
from service.messages.lifecycle import State
from service.records.traffic import InboundRow
from tests.gateways.far_ends import HTTP, MODEM, SMPP
from tests.gateways.far_world import FarWorld, far_world
from tests.gateways.http_form_line import webhook_settings
from tests.gateways.serial_modem_line import deliver_pdu, report_line, report_notice
from tests.world import PHONE
from tests.world_looks import rows

ORDERS = list(permutations(("submitted", "expired", "delivered")))
WORDS = {
    SMPP: {"submitted": "ENROUTE", "expired": "EXPIRED", "delivered": "DELIVRD"},
    # its reference is free for another text after the last word, so the others are words of tries
    MODEM: {"submitted": "30", "expired": "20", "delivered": "00"},
    HTTP: {"submitted": "sent", "expired": "old", "delivered": "done"},
}
QUIET: dict[str, dict[str, object]] = {
    SMPP: {"receipt": "none"},
    MODEM: {"report": "none"},
    HTTP: {},
}
FIRST, SECOND = "Nimemaliza shamba A ", "na shamba B."


def tell(far: FarWorld, place: int, state: str) -> None:
    """Let the far end say what has become of the text of a place."""
    word = WORDS[far.far.make][state]
    match far.far.make:
        case "smpp":
            gateway_id = far.peer.heard("submit")[place]["id"]
            receipt = gsm7.encode(f"id:{gateway_id} stat:{word}").hex()
            far.peer.tell(act="mo", **{"from": PHONE[1:]}, to="15050", hex=receipt)
        case "serial_modem":
            reference = int(str(far.peer.heard("sent")[place]["reference"]))
            notice = report_notice(report_line(reference, status=int(word, 16)))
            far.peer.tell(act="raw", hex=notice.hex())
        case _:
            item = far.peer.heard("submit")[place]
            far.post({"type": "receipt", "state": word, "id": item["id"], "to": item["to"]})


@pytest.mark.parametrize("make", [SMPP, MODEM, HTTP])
def test_three_receipts_end_alike_in_all_their_orders(tmp_path: Path, make: str) -> None:
    """C8: two other words and delivered, each told twice, in the six orders: always delivered."""
    settings: dict[str, object] = {"untyped_receipts": True} if make == SMPP else {}
    with far_world(tmp_path, make, QUIET[make], **settings) as far:
        far.send(*(f"Shamba {letter}." for letter in "ABCDEF"))
        for place, order in enumerate(ORDERS):
            for state in order:
                tell(far, place, state)
                tell(far, place, state)
        far.hear(lambda: set(far.states()) == {State.DELIVERED})
        while far.take_in(wait_s=0.2):
            pass

        for place in range(len(ORDERS)):
            assert far.steps(place).count("receipt-delivered") == 1
        assert set(far.states()) == {State.DELIVERED}


def say_part(far: FarWorld, number: int, text: str) -> None:
    """Let a phone send one of two pieces of a text."""
    header = bytes([5, 0, 3, 17, 2, number])
    match far.far.make:
        case "smpp":
            words = {"from": PHONE[1:], "to": "15050", "udh": header.hex()}
            far.peer.tell(act="mo", hex=gsm7.encode(text).hex(), **words)
        case "serial_modem":
            far.peer.tell(act="inbound", pdu=deliver_pdu(PHONE, text, second=number, header=header))
        case _:
            piece = {"reference": 17, "number": number, "total": 2}
            far.post({"type": "text", "from": PHONE, "to": "15050", "text": text, **piece})


@pytest.mark.parametrize("order", [(1, 2), (2, 1)], ids=["in order", "last first"])
@pytest.mark.parametrize("make", [SMPP, MODEM, HTTP])
def test_a_long_text_is_joined_in_any_order(
    tmp_path: Path, make: str, order: tuple[int, int]
) -> None:
    """C10: two pieces make one text, each piece acknowledged once it is stored."""
    hooks = webhook_settings()
    texts = hooks["texts"]
    assert isinstance(texts, dict)
    texts["part"] = {"reference": "/reference", "number": "/number", "total": "/total"}
    settings: dict[str, object] = {"webhooks": hooks} if make == HTTP else {}
    with far_world(tmp_path, make, None, **settings) as far:
        far.gateway.check(deadline=far.world.clock().replace(second=30))
        pieces = {1: FIRST, 2: SECOND}
        for number in order:
            say_part(far, number, pieces[number])
        far.hear(lambda: bool(rows(far.world, InboundRow)))

        assert [row.text for row in rows(far.world, InboundRow)] == [FIRST + SECOND]
