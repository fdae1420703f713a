"""Outward: claim, look once more, submit, settle. No network call inside a transaction."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from gateway_adapters.contract import Gateway, Outcome, Outgoing
from gateway_adapters.segments import split
from service.clock import Clock
from service.dispatch.last_look import why_not
from service.outbox.claim import (
    Claim,
    Render,
    claim_due,
    drop_unwanted,
    expire_overdue,
    lapse_leases,
)
from service.outbox.receipts import file_orphans, settle
from service.outbox.retry import submit_deadline
from service.records.engine import Sessions

BATCH = 100
Mark = Callable[[str], None]


def no_mark(_point: str) -> None:
    """Pass by: only rehearsals of a crash care where the work stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One association's way out: its route, gateway and sender."""

    association_id: int
    route_id: int
    sender: str
    language: str
    gateway: Gateway


class Dispatcher:
    """Sends what is due."""

    def __init__(
        self, sessions: Sessions, lane: Lane, *, render: Render, clock: Clock, mark: Mark = no_mark
    ) -> None:
        self._sessions = sessions
        self._lane = lane
        self._render = render
        self._clock = clock
        self._mark = mark

    def tidy(self) -> None:
        """Give up leases and waits that have run out."""
        now, lane = self._clock(), self._lane
        with self._sessions.begin() as session:
            lapse_leases(session, lane.association_id, now=now)
            expire_overdue(session, lane.association_id, now=now)
            file_orphans(session, lane.association_id, now=now)

    def run_once(self) -> int:
        """Send every text that is due and that the route has room for; return how many left."""
        self.tidy()
        sent = 0
        while (claim := self._claim()) is not None:
            self._mark("after-claim")
            wanted = self._last_look(claim)
            outcomes = self._submit(wanted)
            self._mark("after-submit")
            with self._sessions.begin() as session:
                settle(session, self._lane.association_id, wanted, outcomes, now=self._clock())
            sent += len(wanted.messages)
        return sent

    def _claim(self) -> Claim | None:
        lane = self._lane
        with self._sessions.begin() as session:
            return claim_due(
                session,
                lane.association_id,
                lane.route_id,
                now=self._clock(),
                limit=BATCH,
                render=self._render,
            )

    def _last_look(self, claim: Claim) -> Claim:
        lane = self._lane
        with self._sessions.begin() as session:
            return drop_unwanted(
                session,
                lane.association_id,
                claim,
                now=self._clock(),
                reason=partial(why_not, session, lane.association_id),
            )

    def _submit(self, claim: Claim) -> list[Outcome]:
        if not claim.messages:
            return []
        batch = [
            Outgoing(
                token=item.token,
                to=item.number,
                sender=self._lane.sender,
                text=item.body,
                segments=split(item.body),
                valid_until=item.valid_until,
            )
            for item in claim.messages
        ]
        return self._lane.gateway.submit(batch, deadline=submit_deadline(self._clock()))
