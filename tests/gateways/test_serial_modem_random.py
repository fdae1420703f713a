"""Hundreds of texts under faults drawn by a fixed seed; the peer's log against our outcomes."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from itertools import count

import pytest

from gateway_adapters.contract import Accepted, Ambiguous, Gateway, Outcome, Rejected
from gateway_adapters.events import Event, Inbound, LateAnswer, Receipt
from tests.gateways.peers.driver import Peer, modem
from tests.gateways.serial_modem_line import a_route, deliver_pdu, sent_pdus
from tests.outgoing import EVENING, an_outgoing

SEED = b"a fixed seed"
TEXTS = 250
PHONES = [f"+2551000000{number:02}" for number in range(7)]


def draws() -> Iterator[int]:
    """Yield numbers from 0 to 65,535 that only the seed decides."""
    for number in count():
        yield int.from_bytes(sha256(SEED + number.to_bytes(8, "big")).digest()[:2], "big")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A setting of the peer for one text, and what may come of it."""

    name: str
    settings: dict[str, object]
    outcomes: tuple[type[Outcome], ...]
    arrivals: tuple[int, ...]  # how many copies of the first part may be at the far end


FAULTS = [
    Fault(name="none", settings={}, outcomes=(Accepted,), arrivals=(1,)),
    Fault(name="silent", settings={"silent_next": 1}, outcomes=(Ambiguous,), arrivals=(1,)),
    Fault(name="lost", settings={"lost_next": 1}, outcomes=(Ambiguous,), arrivals=(0,)),
    Fault(name="reset", settings={"reset_next": 1}, outcomes=(Ambiguous,), arrivals=(0,)),
    Fault(name="no prompt", settings={"no_prompt_next": 1}, outcomes=(Rejected,), arrivals=(0,)),
    Fault(name="notice", settings={"urc_next": 1}, outcomes=(Accepted,), arrivals=(1,)),
    Fault(
        name="refused for good",
        settings={"cms_next": 1, "cms_code": 1},
        outcomes=(Rejected,),
        arrivals=(0,),
    ),
    Fault(
        name="congestion",
        settings={"cms_next": 1, "cms_code": 42},
        outcomes=(Rejected,),
        arrivals=(0,),
    ),
    Fault(
        name="perhaps refused",
        settings={"cms_next": 1, "cms_code": 500},
        outcomes=(Ambiguous,),
        arrivals=(0,),
    ),
    Fault(
        name="later parts refused",
        settings={"fail_from_part": 2, "cms_code": 42},
        outcomes=(Accepted, Ambiguous),
        arrivals=(1,),
    ),
    Fault(name="two reports", settings={"report_times": 2}, outcomes=(Accepted,), arrivals=(1,)),
    Fault(name="stored report", settings={"report": "cdsi"}, outcomes=(Accepted,), arrivals=(1,)),
    Fault(name="stray", settings={"wrong_reference": True}, outcomes=(Accepted,), arrivals=(1,)),
]
CALM: dict[str, object] = {
    "silent_next": 0,
    "lost_next": 0,
    "reset_next": 0,
    "no_prompt_next": 0,
    "urc_next": 0,
    "cms_next": 0,
    "fail_from_part": 0,
    "report_times": 1,
    "report": "cds",
    "wrong_reference": False,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A text, the fault it met, and what was said of it."""

    token: str
    to: str
    text: str
    fault: Fault
    outcome: Outcome


def send_all(gateway: Gateway, peer: Peer, numbers: Iterator[int]) -> tuple[list[Sent], list[str]]:
    """Send the texts one by one, a phone writing now and then; return both sides' texts."""
    sent: list[Sent] = []
    said: list[str] = []
    for place in range(TEXTS):
        drawn = next(numbers)
        fault = FAULTS[drawn % len(FAULTS)] if drawn % 3 else FAULTS[0]
        to = PHONES[next(numbers) % len(PHONES)]
        text = f"Namba {place}: shamba A. " * (12 if next(numbers) % 5 == 0 else 1)
        if next(numbers) % 4 == 0:
            said.append(f"A{place}")
            peer.tell(act="inbound", pdu=deliver_pdu(to, said[-1], second=place))
        peer.tell(**{**CALM, **fault.settings})
        token = f"m{place}"
        message = an_outgoing(token, to=to, text=text)
        (outcome,) = gateway.submit([message], deadline=EVENING + timedelta(seconds=3))
        sent.append(Sent(token=token, to=to, text=text, fault=fault, outcome=outcome))
    peer.tell(**CALM)
    return sent, said


def take_all(gateway: Gateway) -> list[Event]:
    """Take and acknowledge events until the modem is quiet."""
    events: list[Event] = []
    gateway.check(deadline=EVENING + timedelta(seconds=10))
    while more := gateway.receive(wait_s=0.3, limit=500):
        for event in more:
            gateway.ack(event)
        events += more
    return events


@pytest.mark.slow
def test_the_log_of_the_peer_agrees_with_what_was_said_of_every_text() -> None:
    """Accepted is there once and whole, refused is not there, a doubt is there at most once."""
    numbers = draws()
    with (
        modem(capacity=255) as (peer, device),
        a_route(device, answer_s=0.4, late_s=0.03, prompt_s=0.4, daily_segments=10_000) as gateway,
    ):
        sent, said = send_all(gateway, peer, numbers)
        events = take_all(gateway)
        pieces = sent_pdus(peer)
        peer.tell(act="count")

        assert len({item.fault.name for item in sent}) == len(FAULTS)
        assert peer.heard("count")[-1]["stored"] == 0
    arrived = Counter((piece.to, piece.text) for piece in pieces)
    known: dict[str, str] = {}
    whole: set[str] = set()
    for item in sent:
        parts = an_outgoing(text=item.text).segments.parts
        copies = [arrived.pop((item.to, part), 0) for part in parts]
        _agrees(item, copies)
        if all(copies):
            whole.add(item.token)
        if not isinstance(item.outcome, Rejected):
            known.update(dict.fromkeys(item.outcome.gateway_ids, item.token))
    assert arrived == Counter()
    late = [event for event in events if isinstance(event, LateAnswer)]
    assert late
    assert {answer.token for answer in late} <= whole
    _events_agree(sent, said, events, known)


def _agrees(item: Sent, copies: list[int]) -> None:
    assert type(item.outcome) in item.fault.outcomes, item
    assert copies[0] in item.fault.arrivals, (item, copies)
    assert set(copies) <= {0, 1}, (item, copies)
    match item.outcome:
        case Accepted(gateway_ids=ids):
            assert copies == [1] * len(copies)
            assert len(ids) == len(copies)
        case Rejected():
            assert copies == [0] * len(copies)
        case Ambiguous(gateway_ids=ids):
            assert len(ids) < len(copies)
            assert sum(copies) >= len(ids)


def _events_agree(
    sent: list[Sent], said: list[str], events: list[Event], known: dict[str, str]
) -> None:
    """Each text that came in is there; each receipt is of a text that left, or owns to be none."""
    texts = [event for event in events if isinstance(event, Inbound)]
    notices = sum(item.fault.name == "notice" for item in sent)
    own = [text for text in texts if text.sender == "1505"]  # all are one text, said again
    assert 1 <= len(own) <= notices
    assert Counter(text.text for text in texts if text not in own) == Counter(said)
    doubts = {item.token for item in sent if isinstance(item.outcome, Ambiguous)}
    for late in (event for event in events if isinstance(event, LateAnswer)):
        assert late.token in doubts
        known.update(dict.fromkeys(late.gateway_ids, late.token))
    to_of = {item.token: item.to for item in sent}
    strays = 0
    for receipt in (event for event in events if isinstance(event, Receipt)):
        if receipt.gateway_id.startswith("unmatched-"):
            strays += 1
        elif receipt.gateway_id in known:
            assert receipt.to == to_of[known[receipt.gateway_id]]
        else:
            # a doubtful part of a text that is not whole: its own id, which nobody was told
            assert receipt.to in PHONES
    assert strays
