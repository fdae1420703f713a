"""Outward: claim, look once more, submit, settle. No network call inside a transaction."""

import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import partial
from threading import Event

from gateway_adapters.contract import Gateway, Outcome, Outgoing, Rejected, RejectKind, Scope
from gateway_adapters.segments import split
from service.clock import Clock
from service.dispatch.last_look import why_not
from service.outbox.claim import Claim, Render, claim_due, drop_unwanted
from service.outbox.overdue import expire_overdue, lapse_leases
from service.outbox.receipts import file_orphans, settle
from service.outbox.retry import LEASE, SUBMIT_DEADLINE, submit_deadline
from service.records.engine import Session, Sessions
from service.records.faults import STORE_FAULTS
from service.route_settings import USSD_MAX

BATCH = 100
LEASE_S, SUBMIT_S = LEASE.total_seconds(), SUBMIT_DEADLINE.total_seconds()
SETTLE_AGAIN_S = (0.25, 0.5, 1, 2, 4, 8, 8, 8)  # together longer than a server takes to come back
TOO_LATE = Rejected(  # as if the route had asked for a pause: nothing has left, nobody refused
    kind=RejectKind.THROTTLED,
    scope=Scope.ROUTE,
    code="lease-over",
    detail="The lease ran out before the text could be handed over.",
    retry_after_s=1,
)
Mark = Callable[[str], None]


def no_mark(_point: str) -> None:
    """Pass by: only rehearsals of a crash care where the work stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One association's way out: its route, gateway and sender."""

    association_id: int
    route_id: int
    name: str
    sender: str
    language: str
    gateway: Gateway
    ussd_max: int = USSD_MAX


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """What a dispatcher looks at besides the records; `pause` and `monotonic` are in seconds.

    The lease is held against a clock that nobody sets: a worker that was frozen and wakes must
    send nothing more, whatever time of day its machine shows.
    """

    clock: Clock
    monotonic: Callable[[], float] = time.monotonic
    pause: Callable[[float], object] = Event().wait
    go_on: Callable[[], bool] = lambda: True
    mark: Mark = no_mark


class Dispatcher:
    """Sends what is due."""

    def __init__(self, sessions: Sessions, lane: Lane, *, render: Render, watch: Watch) -> None:
        self._sessions = sessions
        self._lane = lane
        self._render = render
        self._watch = watch

    def tidy(self) -> None:
        """Give up leases and waits that have run out."""
        now, lane = self._watch.clock(), self._lane
        with self._turn() as session:
            lapse_leases(session, lane.association_id, now=now)
            expire_overdue(session, lane.association_id, now=now)
            file_orphans(session, lane.association_id, now=now)

    def run_once(self) -> int:
        """Send what is due and what the route has room for, while `go_on` says so; return how many.

        What came of one batch is written down before the next is claimed, so that a crash leaves
        one batch in doubt.
        """
        self.tidy()
        sent, mark = 0, self._watch.mark
        while self._watch.go_on():
            until = self._watch.monotonic() + LEASE_S - SUBMIT_S
            claim = self._claim()
            if claim is None:
                break
            mark("after-claim")
            wanted = self._last_look(claim)
            outcomes = self._submit(wanted, until)
            mark("after-submit")
            self._settle(wanted, outcomes)
            sent += len(wanted.messages)
        return sent

    def _turn(self) -> AbstractContextManager[Session]:
        return self._sessions.begin(alone=self._lane.association_id)

    def _claim(self) -> Claim | None:
        lane = self._lane
        with self._turn() as session:
            return claim_due(
                session,
                lane.association_id,
                lane.route_id,
                now=self._watch.clock(),
                limit=BATCH,
                render=self._render,
            )

    def _last_look(self, claim: Claim) -> Claim:
        lane = self._lane
        with self._turn() as session:
            return drop_unwanted(
                session,
                lane.association_id,
                claim,
                now=self._watch.clock(),
                reason=partial(why_not, session, lane.association_id),
            )

    def _submit(self, claim: Claim, until: float) -> list[Outcome]:
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
        deadline = submit_deadline(self._watch.clock())
        self._watch.mark("before-submit")
        if self._watch.monotonic() >= until:
            return [TOO_LATE for _ in batch]
        return self._lane.gateway.submit(batch, deadline=deadline)

    def _settle(self, claim: Claim, outcomes: list[Outcome]) -> None:
        """Write down what came of a batch; the gateway says it once, so a fault is waited out."""
        for pause_s in (*SETTLE_AGAIN_S, None):
            try:
                with self._turn() as session:
                    settle(
                        session,
                        self._lane.association_id,
                        claim,
                        outcomes,
                        now=self._watch.clock(),
                    )
            except STORE_FAULTS:
                if pause_s is None:
                    raise
                self._watch.pause(pause_s)
            else:
                return
