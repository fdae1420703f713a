"""Thousands of texts while the centre fails in every way, and its books against ours.

The dice follow from a fixed seed. Whatever happens: what we call taken the centre holds, under
the id that we give; what we call refused or not sent it does not hold; and it holds nothing twice.
"""

from collections import Counter
from dataclasses import dataclass, field
from threading import Event as Flag
from threading import Thread

import pytest

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Outgoing, Rejected
from gateway_adapters.events import Event, LateAnswer, Receipt
from gateway_adapters.smpp.gateway import SmppGateway
from tests.gateways.peers.driver import WAIT_S, Happening, Peer
from tests.gateways.smpp_line import route, send
from tests.outgoing import an_outgoing
from tests.peers.dice import Dice

SEED = 20270315
TEXTS = 5_200
WELL: dict[str, object] = {
    "receiptFirst": False,
    "receiptTimes": 1,
    "splitMs": 0,
    "rejectStatus": 0x0B,
}


@dataclass(slots=True)
class Books:
    """What we were told of each text, and what came in."""

    sent: list[tuple[Outgoing, Outcome]] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)


@pytest.mark.slow
def test_the_centres_books_and_ours_agree_after_every_fault() -> None:
    dice, books, over = Dice(SEED), Books(), Flag()
    with route(
        window=10,
        rate_per_s=1e6,
        answer_timeout_s=0.3,
        reconnect_s=0.01,
        settled_s=0.01,
        throttle_s=0.01,
    ) as (peer, gateway):
        reading = Thread(target=_read, args=(gateway, books, over), daemon=True)
        reading.start()
        while len(books.sent) < TEXTS:
            peer.tell(**WELL | _fault(dice))
            batch = [_text(dice, len(books.sent) + place) for place in range(dice.between(10, 60))]
            books.sent += zip(batch, send(gateway, *batch), strict=True)
        peer.tell(**WELL)
        over.set()
        reading.join(WAIT_S)
        peer.tell(act="count")
        _compare(peer, books)


def _fault(dice: Dice) -> dict[str, object]:
    some = dice.between(1, 4)
    faults: dict[str, dict[str, object]] = {
        "drop": {"dropNext": 1},
        "lost": {"lostNext": 1},
        "silent": {"silentNext": some},
        "throttle": {"throttleNext": some},
        "reject": {"rejectNext": some, "rejectStatus": dice.pick((0x0B, 0x0A, 0x45, 0xFF))},
        "first": {"receiptFirst": True},
        "twice": {"receiptTimes": 2},
        "split": {"splitMs": 1},
        "none": {},
    }
    return faults[dice.pick(list(faults))]


def _text(dice: Dice, number: int) -> Outgoing:
    words = f"{number:05} shamba A, lita 4." + " Jibu A3." * dice.pick((0, 1, 1, 1, 1, 1, 20, 40))
    return an_outgoing(f"m{number}", to=f"+2551000000{dice.between(10, 99)}", text=words)


def _read(gateway: SmppGateway, books: Books, over: Flag) -> None:
    while True:
        events = gateway.receive(wait_s=0.5, limit=200)
        for event in events:
            gateway.ack(event)
        books.events += events
        if not events and over.is_set():
            return


def _compare(peer: Peer, books: Books) -> None:
    log = peer.heard("submit")
    held = _by_text(log)
    outcomes = Counter(type(outcome) for _, outcome in books.sent)

    assert len({item["id"] for item in log}) == len(log) == sum(map(len, held.values()))
    assert sum(outcomes.values()) == len(books.sent) >= TEXTS
    assert outcomes[Accepted] > 0.85 * TEXTS
    assert min(outcomes[Rejected], outcomes[Ambiguous]) > 40
    assert [number for number, pieces in held.items() if _has_one_twice(pieces)] == []
    assert [
        text.token
        for text, outcome in books.sent
        if not _is_true(text, outcome, held.get(text.text[:5], []))
    ] == []
    _compare_events(peer, books, {str(item["id"]): item for item in log})


def _compare_events(peer: Peer, books: Books, held: dict[str, Happening]) -> None:
    receipts = [event for event in books.events if isinstance(event, Receipt)]
    late = [event for event in books.events if isinstance(event, LateAnswer)]
    told = {text.token: (text, outcome) for text, outcome in books.sent}
    answered = {str(item["about"]) for item in peer.heard("deliver_sm_resp") if item["status"] == 0}

    assert all(f"+{held[r.gateway_id]['to']}" == r.to for r in receipts)
    assert answered <= {receipt.gateway_id for receipt in receipts}
    assert len(answered) > 0.9 * len(held)
    assert late != []
    for event in late:
        text, outcome = told[event.token]
        assert isinstance(outcome, Ambiguous)
        assert "".join(str(held[one]["text"]) for one in event.gateway_ids) == text.text


def _by_text(log: list[Happening]) -> dict[str, list[Happening]]:
    """Return what the centre holds by the number that a text begins with, pieces in order.

    Only a first piece has the number; the others have its reference and destination. No phone
    gets as many long texts as there are references.
    """
    first = {
        (item["to"], str(item["udh"])[:-2]): str(item["text"])[:5]
        for item in log
        if str(item["udh"]).endswith("01")
    }
    held: dict[str, list[Happening]] = {}
    for item in sorted(log, key=lambda item: str(item["udh"])[-2:]):
        header = str(item["udh"])
        number = first[item["to"], header[:-2]] if header else str(item["text"])[:5]
        held.setdefault(number, []).append(item)
    return held


def _has_one_twice(pieces: list[Happening]) -> bool:
    return len({item["udh"] for item in pieces}) < len(pieces)


def _is_true(text: Outgoing, outcome: Outcome, held: list[Happening]) -> bool:
    """Say whether the outcome is true of what the centre holds of the text."""
    ids = tuple(str(item["id"]) for item in held)
    match outcome:
        case Accepted(gateway_ids=told):
            return told == ids and "".join(str(item["text"]) for item in held) == text.text
        case Rejected():
            return held == []
        case Ambiguous(gateway_ids=told):
            return set(told) <= set(ids)
