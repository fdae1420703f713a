"""Receipts and answers in any order, over and over, for texts known and unknown."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from hashlib import sha256

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from gateway_adapters.contract import Accepted
from gateway_adapters.events import Receipt, ReceiptState
from service.messages.lifecycle import State
from service.outbox.claim import Claim, claim_due
from service.outbox.enqueue import Draft, enqueue
from service.outbox.receipts import record_receipt, settle
from service.records.engine import Session
from service.records.traffic import MessageRow
from tests.world import PHONE, World, an_association

NOW = datetime(2027, 3, 14, 15, 0, tzinfo=UTC)
LATER = datetime(2027, 3, 14, 17, 0, tzinfo=UTC)
TEXTS = 220
RECEIPTS = 1000
ENDS = (ReceiptState.DELIVERED, ReceiptState.FAILED, ReceiptState.EXPIRED, ReceiptState.UNKNOWN)

News = Receipt | Claim


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """Texts on their way, with all that will be heard of them."""

    world: World
    route_id: int
    news: tuple[News, ...]


def receipts_of(place: int, token: str) -> list[Receipt]:
    """Return what is heard of one text: under way, its end, and the end once more."""
    end = ENDS[place % len(ENDS)]
    states = [ReceiptState.SUBMITTED, end, end, ReceiptState.SUBMITTED]
    return [
        Receipt(
            event_id=f"{token}:{state}:{number}",
            gateway_id=f"id-{token}",
            to=PHONE,
            state=state,
            at=NOW,
        )
        for number, state in enumerate(states)
    ]


@pytest.fixture(scope="module")
def claimed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Claimed]:
    """220 claimed texts, their answers to come, and 1,000 receipts, some for unknown ids."""
    world = World(folder=tmp_path_factory.mktemp("receipts"))
    an_association(world)
    lane = world.services.lane()
    assert lane is not None
    claims: list[Claim] = []
    with world.services.sessions.begin() as session:
        for number in range(TEXTS):
            enqueue(session, 1, draft(lane.route_id, number), now=NOW)
        while claim := claim_due(
            session, 1, lane.route_id, now=NOW, limit=100, render=lambda _row: "A text."
        ):
            claims.append(claim)
    tokens = [item.token for claim in claims for item in claim.messages]
    known = [news for place, token in enumerate(tokens) for news in receipts_of(place, token)]
    stray = [
        Receipt(
            event_id=f"stray-{number}",
            gateway_id=f"nobody-{number}",
            to=PHONE,
            state=ReceiptState.DELIVERED,
            at=NOW,
        )
        for number in range(RECEIPTS - len(known))
    ]
    yield Claimed(world=world, route_id=lane.route_id, news=(*claims, *known, *stray))
    world.close()


def draft(route_id: int, number: int) -> Draft:
    return Draft(
        route_id=route_id,
        phone_id=None,
        number=PHONE,
        kind="help",
        language="en",
        dedupe_key=f"text:{number}",
        due_at=NOW,
        expires_at=LATER,
        evening=date(2027, 3, 14),
    )


def end_states(session: Session, route_id: int, news: list[News]) -> list[State]:
    """Return the texts' states after all of the news, one after the other."""
    for item in news:
        match item:
            case Receipt():
                record_receipt(session, 1, route_id, item, now=NOW)
            case Claim():
                answers = [Accepted(gateway_ids=(f"id-{text.token}",)) for text in item.messages]
                settle(session, 1, item, answers, now=NOW)
    session.flush()
    return list(session.scalars(select(MessageRow.state).order_by(MessageRow.id)))


def shuffled(news: tuple[News, ...], seed: int) -> list[News]:
    """Return the news in an order of the seed's own."""
    places = sorted(range(len(news)), key=lambda place: sha256(f"{seed}:{place}".encode()).digest())
    return [news[place] for place in places]


@pytest.mark.slow
@settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 2**32))
def test_a_thousand_receipts_end_the_same_in_whatever_order_they_come(
    claimed: Claimed, seed: int
) -> None:
    """M8: shuffle 1,000 receipts, and the answers among them -> same final states."""
    news = shuffled(claimed.news, seed)
    with claimed.world.services.sessions.read() as session:
        after = end_states(session, claimed.route_id, news)
        session.rollback()

    assert sum(isinstance(item, Receipt) for item in news) == RECEIPTS
    assert after == [State(ENDS[place % len(ENDS)].value) for place in range(TEXTS)]
