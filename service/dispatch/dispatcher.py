"""Outward: claim, look once more, submit, settle. No network call inside a transaction."""

import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from threading import Event

from gateway_adapters.contract import Gateway, Outcome, Outgoing, Rejected, RejectKind, Scope
from service.clock import Clock
from service.dispatch.last_look import last_look
from service.outbox.claim import Claim, Render, claim_due, drop_unwanted
from service.outbox.low_water import START, LowWater, Place
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
NOT_ASKED = replace(
    TOO_LATE,
    code="records-away",
    detail="The records could not be asked whether the text is still wanted.",
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What the gateway said of each text of a claim, in its order."""

    claim: Claim
    outcomes: list[Outcome]


class Dispatcher:
    """Sends what is due."""

    def __init__(self, sessions: Sessions, lane: Lane, *, render: Render, watch: Watch) -> None:
        self._sessions = sessions
        self._lane = lane
        self._render = render
        self._watch = watch
        self._water = LowWater()

    def tidy(self) -> None:
        """Give up leases and waits that have run out."""
        now, lane = self._watch.clock(), self._lane
        with self._turn() as session:
            lapse_leases(session, lane.association_id, now=now)
            expire_overdue(session, lane.association_id, now=now)
            file_orphans(session, lane.association_id, now=now)

    def run_once(self) -> int:
        """Send what is due and what the route has room for, while `go_on` says so; return how many.

        What came of one batch is written down with the claim of the next, so that a crash leaves
        one batch in doubt, and each batch waits for the disk once.
        """
        self.tidy()
        self._water = LowWater()
        sent, mark = 0, self._watch.mark
        said: Said | None = None
        while True:
            mark("before-claim")
            until = self._watch.monotonic() + LEASE_S - SUBMIT_S
            claim = self._next(said, go_on=self._watch.go_on())
            if said is not None:
                mark("after-settle")
            if claim is None:
                return sent
            mark("after-claim")
            wanted = self._last_look(claim)
            said = Said(claim=wanted, outcomes=self._submit(wanted, until))
            mark("after-submit")
            sent += len(wanted.messages)

    def _turn(self) -> AbstractContextManager[Session]:
        return self._sessions.begin(alone=self._lane.association_id)

    def _next(self, said: Said | None, *, go_on: bool) -> Claim | None:
        """Write down what came of a batch, and claim another, all or nothing.

        Where that fails the answers are written down by themselves, for the gateway says them once.
        """
        claim: Claim | None = None
        if said is None and not go_on:
            return None
        try:
            with self._turn() as session:
                if said is not None:
                    self._settle(session, said)
                if go_on:
                    claim = self._claim(session)
        except Exception as fault:
            if said is not None:
                self._keep(said)
            self._give_back(claim)  # it may stand even where its commit was never answered
            if said is None or not isinstance(fault, STORE_FAULTS):
                raise
            return self._next(None, go_on=go_on)
        return claim

    def _claim(self, session: Session) -> Claim | None:
        water = self._water
        claim = self._claim_from(session, water.look_from(self._watch.monotonic()))
        if claim is None and water.from_start():
            claim = self._claim_from(session, START)
        if claim is not None:
            water.took(claim.first)
        return claim

    def _claim_from(self, session: Session, since: Place) -> Claim | None:
        lane = self._lane
        return claim_due(
            session,
            lane.association_id,
            lane.route_id,
            now=self._watch.clock(),
            limit=BATCH,
            render=self._render,
            since=since,
        )

    def _last_look(self, claim: Claim) -> Claim:
        """Return the claim without what may no longer go.

        Where the records cannot be asked the batch is given back: nothing has left.
        """
        lane = self._lane
        try:
            with self._turn() as session:
                return drop_unwanted(
                    session,
                    lane.association_id,
                    claim,
                    now=self._watch.clock(),
                    reason=last_look(session, lane.association_id, claim.messages),
                )
        except STORE_FAULTS:
            self._give_back(claim)
            raise

    def _give_back(self, claim: Claim | None) -> None:
        if claim is not None:
            self._keep(Said(claim=claim, outcomes=[NOT_ASKED for _ in claim.messages]))

    def _submit(self, claim: Claim, until: float) -> list[Outcome]:
        if not claim.messages:
            return []
        batch = [
            Outgoing(
                token=item.token,
                to=item.number,
                sender=self._lane.sender,
                text=item.body,
                segments=item.segments,
                valid_until=item.valid_until,
            )
            for item in claim.messages
        ]
        deadline = submit_deadline(self._watch.clock())
        self._watch.mark("before-submit")
        if self._watch.monotonic() >= until:
            return [TOO_LATE for _ in batch]
        return self._lane.gateway.submit(batch, deadline=deadline)

    def _keep(self, said: Said) -> None:
        """Write down what came of a batch and nothing else; a fault is waited out."""
        for tries_left, pause_s in enumerate(SETTLE_AGAIN_S, start=1 - len(SETTLE_AGAIN_S)):
            self._watch.pause(pause_s)
            try:
                with self._turn() as session:
                    self._settle(session, said)
            except STORE_FAULTS:
                if tries_left == 0:
                    raise
            else:
                return

    def _settle(self, session: Session, said: Said) -> None:
        settle(
            session,
            self._lane.association_id,
            said.claim,
            said.outcomes,
            now=self._watch.clock(),
        )
