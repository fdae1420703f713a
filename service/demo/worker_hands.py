"""The `furrowbell work` processes of the demo, as the season's player waits for them."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Event
from time import monotonic

from service.bootstrap import Services
from service.dispatch.dispatcher import Lane
from service.errors import RefusedError
from service.records.engine import Session
from service.records.faults import STORE_FAULTS
from service.records.pretend_pause import between_steps
from service.records.season_report import next_due_at, on_their_way, shares_to_plan
from service.records.workers import steps_taken

LOOK_S = 0.01
PATIENCE_S = 180.0  # many times what a worker that was killed takes to be there again
AWAY_S = 0.5


class StoppedError(Exception):
    """The season was asked to end before its last day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkerHands:
    """Workers in processes of their own, which look for work by themselves.

    All is done at a moment when, after the last act of its people, a worker has taken a whole step,
    every share is planned, no step is on its way, nothing is due, and no event waits to be read. A
    text in the hand of a worker that was killed is not waited for: nobody knows of it any more
    before its lease is over.
    """

    services: Services
    lane: Lane
    stop: Event
    _before: dict[int, int] = field(default_factory=dict)  # whole steps, when people last acted

    @contextmanager
    def still(self) -> Iterator[None]:
        """Let no worker take a step while the block runs."""
        self._ask_to_go_on()
        with between_steps(self.services.sessions):
            self._note()
            yield

    def work(self) -> None:
        """Wait until all is done.

        Raises:
            StoppedError: the season was asked to end.
            RefusedError: `work`, where nobody does the work.
        """
        until = monotonic() + PATIENCE_S
        while not self._is_done():
            if monotonic() > until:
                raise RefusedError("work", "The processes at work do not come to rest; see log/.")
            self.stop.wait(LOOK_S)
            self._ask_to_go_on()

    def through(self, play: Callable[[], None]) -> None:
        """Play, and go on where the season stands whenever the database was away.

        Raises:
            StoppedError: the season was asked to end.
        """
        faults = 0
        while True:
            began = monotonic()
            try:
                play()
            except STORE_FAULTS:
                faults = 1 if monotonic() - began > AWAY_S else faults + 1
                if faults > PATIENCE_S / AWAY_S:
                    raise
                self.stop.wait(AWAY_S)
            else:
                return

    def _ask_to_go_on(self) -> None:
        if self.stop.is_set():
            raise StoppedError

    def _is_done(self) -> bool:
        with self.services.sessions.read() as session:
            if not self._has_stepped(session):
                return False
        with between_steps(self.services.sessions):
            if self._is_at_rest():
                return True
            self._note()
        return False

    def _note(self) -> None:
        with self.services.sessions.read() as session:
            self._before.update(steps_taken(session))

    def _has_stepped(self, session: Session) -> bool:
        steps = steps_taken(session)
        return any(many > self._before.get(worker_id, 0) for worker_id, many in steps.items())

    def _is_at_rest(self) -> bool:
        now, tenant = self.services.clock(), self.lane.association_id
        if self.services.pretend_phones().unread(now):
            return False
        with self.services.sessions.read() as session:
            due_at = next_due_at(session, tenant)
            return (
                (due_at is None or due_at > now)
                and on_their_way(session, tenant) == 0
                and shares_to_plan(session, tenant, since=now) == 0
            )
