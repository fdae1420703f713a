"""Keeps one connection to the gateway: connects, binds, and connects again when it breaks."""

import logging
import socket
import time
from dataclasses import dataclass
from datetime import datetime
from enum import Enum, auto
from threading import Thread

from gateway_adapters.contract import Clock, Health, HealthState, Rejected, RejectKind, Scope
from gateway_adapters.smpp.codec import Bind
from gateway_adapters.smpp.codes import code_of, verdict_of
from gateway_adapters.smpp.dial import DialError, dial
from gateway_adapters.smpp.pace import Backoff, Roll
from gateway_adapters.smpp.session import Session
from gateway_adapters.smpp.traffic import Traffic
from gateway_adapters.smpp.waker import Waker
from gateway_adapters.smpp.wire import Wire

_CLOSED = "The gateway was closed."
_log = logging.getLogger(__name__)


class Phase(Enum):
    """How far a connection has come."""

    IDLE = auto()
    CONNECTING = auto()
    BOUND = auto()
    WAITING = auto()
    OVER = auto()


@dataclass(slots=True, eq=False)
class Standing:
    """How a link stands; `retry_at` is monotonic, in seconds, `failures` only count up."""

    phase: Phase = Phase.IDLE
    reason: str = "Nothing has been sent yet, so nothing was connected."
    since: datetime | None = None
    refusal: Rejected | None = None
    retry_at: float = 0.0
    failures: int = 0


class Link:
    """One connection, kept by a thread of its own from the first use on.

    What it shows may be looked at only with the traffic's lock held.
    """

    def __init__(self, bind: Bind, traffic: Traffic, clock: Clock, *, roll: Roll) -> None:
        self.standing = Standing()
        self.session: Session | None = None
        self._bind = bind
        self._traffic = traffic
        self._clock = clock
        self._backoff = Backoff(traffic.settings.timing.reconnect_s, roll=roll)
        self._thread: Thread | None = None
        self._waker: Waker | None = None
        self._wire: Wire | None = None
        self._abandoned = False

    @property
    def bound(self) -> bool:
        """Whether the gateway has let us in."""
        return self.standing.phase is Phase.BOUND

    def has_failed(self, failures: int) -> bool:
        """Whether an attempt to connect has failed since there were so many, or none will come."""
        return self.standing.failures > failures or self.standing.phase is Phase.OVER

    def start(self) -> None:
        """Connect, if it was not asked before."""
        if self._thread is None:
            self._waker = Waker()
            self._thread = Thread(
                target=self._run, args=(self._waker,), name="smpp-link", daemon=True
            )
            self._thread.start()

    def hurry(self) -> None:
        """Connect now, if it waits to connect."""
        if self.standing.phase is Phase.WAITING:
            self.standing.retry_at = 0.0
            self._traffic.answers.notify_all()

    def wake(self) -> None:
        """Let the thread look at what there is to do."""
        if self._waker is not None:
            self._waker.wake()

    def write(self) -> None:
        """Let what the session has to say leave, here if it can, else through the thread."""
        session, wire = self.session, self._wire
        if session is not None and wire is not None:
            wire.write_beside(session)
            if not session.outgoing and session.over is None:
                return
        self.wake()

    def part(self, now: float) -> None:
        """Say goodbye to the gateway."""
        if self.session is not None and self.bound:
            self.session.part(now)
            self.wake()
        else:
            self.abandon()

    def abandon(self) -> None:
        """Cut the connection."""
        self._abandoned = True
        if self.session is not None:
            self.session.end(_CLOSED)
        self.wake()
        self._traffic.answers.notify_all()

    def join(self, limit_s: float) -> None:
        """Wait for the thread's end, without the lock."""
        if self._thread is not None:
            self._thread.join(limit_s)

    def health(self) -> Health:
        """Return the link's state."""
        standing = self.standing
        state = {
            Phase.BOUND: HealthState.UP,
            Phase.IDLE: HealthState.DEGRADED,
            Phase.CONNECTING: HealthState.DEGRADED,
        }.get(standing.phase, HealthState.DOWN)
        if state is HealthState.UP:
            return Health(state=state, since=standing.since)
        return Health(state=state, reason=standing.reason, since=standing.since)

    def _run(self, waker: Waker) -> None:
        lock = self._traffic.lock
        reason = "The program has a fault, which its log shows; start it again."
        try:
            while True:
                with lock:
                    self._wait_for_turn()
                    if self._stopping():
                        reason = _CLOSED
                        return
                    self._stand(Phase.CONNECTING, self.standing.reason)
                why, status = self._connect(waker)
                with lock:
                    self._ended(why, status)
        finally:  # whatever happens, nobody waits for a thread that is gone
            with lock:
                self._over(reason)

    def _over(self, reason: str) -> None:
        if self.session is not None:
            self.session.end(reason)
            self._traffic.broke()
        self._stand(Phase.OVER, reason)
        self._traffic.answers.notify_all()
        if self._waker is not None:
            self._waker.close()
            self._waker = None

    def _connect(self, waker: Waker) -> tuple[str, int | None]:
        place = self._traffic.settings.place
        try:
            sock = dial(place, waker=waker, called_off=self._stopping)
        except DialError as error:
            return str(error), None
        with sock:
            return self._serve(sock, waker)

    def _serve(self, sock: socket.socket, waker: Waker) -> tuple[str, int | None]:
        now = time.monotonic()
        session = Session(self._bind, self._traffic, now=now, on_bound=self._bound)
        with self._traffic.lock:
            if self._stopping():
                return _CLOSED, None
            self.session = session
            self._wire = Wire(sock, waker)
        self._wire.carry(session, self._traffic)
        with self._traffic.lock:
            self.session = self._wire = None
            if session.submits:
                self._traffic.broke()
        if session.bound and time.monotonic() - now >= self._traffic.settings.timing.settled_s:
            self._backoff.went_well()
        return session.over or "", None if session.bound else session.bind_status

    def _bound(self) -> None:
        self._stand(Phase.BOUND, "")
        self.standing.refusal = None
        self._traffic.answers.notify_all()

    def _ended(self, why: str, status: int | None) -> None:
        was_bound = self.bound
        standing, timing = self.standing, self._traffic.settings.timing
        self._stand(Phase.WAITING, why)
        verdict = None if status is None else verdict_of(status, self._traffic.settings.statuses)
        wait_s = self._backoff.next_s()
        if status is not None and verdict is not None and verdict.kind is RejectKind.PERMANENT:
            wait_s = timing.refused_s
            standing.reason = verdict.detail
            standing.refusal = Rejected(
                kind=verdict.kind,
                scope=Scope.ROUTE,
                code=code_of(status),
                detail=verdict.detail,
                retry_after_s=wait_s,
            )
        standing.retry_at = time.monotonic() + wait_s
        standing.failures += not was_bound
        self._traffic.answers.notify_all()
        _log.warning("smpp link ended: %s", standing.reason)

    def _wait_for_turn(self) -> None:
        while not self._stopping() and (left_s := self.standing.retry_at - time.monotonic()) > 0:
            self._traffic.answers.wait(left_s)

    def _stopping(self) -> bool:
        return self._abandoned or self._traffic.closing

    def _stand(self, phase: Phase, reason: str) -> None:
        if phase is not self.standing.phase:
            self.standing.since = self._clock()
        self.standing.phase = phase
        self.standing.reason = reason
