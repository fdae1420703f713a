"""A queue of texts that are due, and what became of them: by the records, and by the network."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import func, insert, select, update

from gateway_adapters.fake import FakeGateway
from service.clock import system_clock
from service.messages.lifecycle import State
from service.outbox.overdue import lapse_leases
from service.records.engine import Sessions
from service.records.traffic import ClaimRow, MessageRow, RouteRow
from tests.unit.outbox.queue import two_tenants

RATE = 1e6  # what is tried here is not the pace
LONG = timedelta(days=2)
SENT = (State.SUBMITTED, State.DELIVERED)


def fill(sessions: Sessions, many: int, *, at: datetime | None = None) -> None:
    """Queue texts that are due at once, or at an instant, and stay so for two days.

    Each is written already, and like no other.
    """
    now = system_clock() if at is None else at
    two_tenants(sessions, rate_per_s=RATE)
    rows = [
        {
            "association_id": 1,
            "route_id": 1,
            "number": f"+2551000000{place % 100:02}",
            "kind": "help",
            "body": f"text {place}",
            "due_at": now,
            "expires_at": now + LONG,
            "dedupe_key": f"fault:{place}",
            "language": "en",
            "fields": {},
            "state": State.QUEUED,
            "tries": 0,
            "changed_at": now,
            "asks": 0,
        }
        for place in range(many)
    ]
    with sessions.begin() as session:
        session.execute(insert(MessageRow), rows)
        session.execute(update(RouteRow).values(tokens_at=now))


def left(sessions: Sessions) -> int:
    """Return how many texts are queued."""
    return _count(sessions, State.QUEUED)


def in_hand(sessions: Sessions) -> int:
    """Return how many texts are claimed."""
    return _count(sessions, State.CLAIMED)


def give_up_leases(sessions: Sessions) -> None:
    """Let the time of every lease pass."""
    with sessions.begin(alone=1) as session:
        lapse_leases(session, 1, now=system_clock() + LONG)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What became of the texts; each number should be 0 but `sent` and `unknown`."""

    sent: int
    unknown: int
    lost: int  # neither sent, nor in doubt, nor waiting
    twice: int  # that the network has more than once
    untrue: int  # that the records call sent, and the network does not have
    leases: int  # that stand though nothing is in hand


def verdict(sessions: Sessions, folder: Path) -> Verdict:
    """Compare the records with what the network has, text by text."""
    arrived = Counter(text.text for text in FakeGateway(clock=system_clock, folder=folder).texts())
    with sessions.read() as session:
        rows = session.execute(select(MessageRow.body, MessageRow.state)).all()
        leases = session.execute(select(func.count()).select_from(ClaimRow)).scalar_one()
    said = {str(text): state for text, state in rows}
    known = {*SENT, State.UNKNOWN, State.QUEUED}
    return Verdict(
        sent=sum(state in SENT for state in said.values()),
        unknown=sum(state is State.UNKNOWN for state in said.values()),
        lost=sum(state not in known for state in said.values())
        + sum(text not in said for text in arrived),
        twice=sum(times > 1 for times in arrived.values()),
        untrue=sum(state in SENT and not arrived[text] for text, state in said.items()),
        leases=leases,
    )


def _count(sessions: Sessions, state: State) -> int:
    with sessions.read() as session:
        query = select(func.count()).select_from(MessageRow).where(MessageRow.state == state)
        return session.execute(query).scalar_one()
