"""The records against the pretend network's log, text by text, by the token that each left under.

A text that left twice has two entries in the log, or one under a token that the records no longer
hold; both are told here. A text in doubt says by the log where its fault fell.
"""

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import func, select

from gateway_adapters.fake import FakeGateway
from service.clock import system_clock
from service.messages.lifecycle import State
from service.records.engine import Sessions
from service.records.traffic import ClaimRow, MessageRow

SENT = (State.SUBMITTED, State.DELIVERED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """What became of the texts; `wrong` holds a sentence for each that is not as it must be."""

    sent: int
    waiting: int
    over: int  # refused, expired or cancelled
    doubt_behind_submit: int  # unknown, and the network was handed it
    doubt_before_submit: int  # unknown, and the network was never handed it
    wrong: tuple[str, ...] = field(default=())

    @property
    def in_doubt(self) -> int:
        """How many texts nobody knows about."""
        return self.doubt_behind_submit + self.doubt_before_submit

    def ends(self) -> tuple[int, int, int, tuple[str, ...]]:
        """Return the texts sent, over and in doubt, and what is wrong; what waits may do so."""
        return self.sent, self.over, self.in_doubt, self.wrong


def network_of(folder: Path) -> FakeGateway:
    """Return what looks at the pretend network in a folder; it follows what others write there."""
    return FakeGateway(clock=system_clock, folder=folder)


def compare(sessions: Sessions, network: FakeGateway, *, after: int = 0) -> Ledger:
    """Return what became of the texts with ids above `after`, once all work has come to rest."""
    with sessions.read() as session:
        rows = list(session.scalars(select(MessageRow).where(MessageRow.id > after)))
        leases = session.execute(select(func.count()).select_from(ClaimRow)).scalar_one()
        tokens = set(session.scalars(select(MessageRow.token)))
    log = network.submitted()
    handed = Counter(text.token for text in log)
    taken = Counter(text.token for text in log if text.state is not None)
    on_phone = {text.token for text in log if text.on_phone}
    wrong = [f"{times} times: {token}" for token, times in taken.items() if times > 1]
    wrong += [f"sent under a token that is gone: {token}" for token in taken if token not in tokens]
    wrong += [fault for row in rows if (fault := _fault(row, taken, on_phone))]
    if leases:
        wrong.append(f"{leases} leases stand")
    unknown = [row for row in rows if row.state is State.UNKNOWN]
    return Ledger(
        sent=sum(row.state in SENT for row in rows),
        waiting=sum(row.state is State.QUEUED for row in rows),
        over=sum(row.state in (State.FAILED, State.EXPIRED, State.CANCELLED) for row in rows),
        doubt_behind_submit=sum(bool(handed[row.token or ""]) for row in unknown),
        doubt_before_submit=sum(not handed[row.token or ""] for row in unknown),
        wrong=tuple(wrong),
    )


def _fault(row: MessageRow, taken: Counter[str], on_phone: set[str]) -> str | None:
    """Return what is wrong with one text, None where nothing is."""
    token = row.token or ""
    if row.state is State.CLAIMED:
        return f"text {row.id} is in nobody's hand, and claimed"
    if row.state in SENT and not taken[token]:
        return f"text {row.id} is called {row.state}, and the network does not have it"
    if row.state not in (*SENT, State.UNKNOWN) and token in on_phone:
        return f"text {row.id} is called {row.state}, and is on the phone"
    return None
