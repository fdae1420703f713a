"""How a `furrowbell work` process of the demo goes about it: at once when the time has moved.

In life a worker looks every two seconds. Where time is pretended, a season would wait for that at
each of its thousand moments. When the time has moved, the workers divide the planning as in life;
when it stands, a text or a press on a page may all the same have brought news, so all is planned.
"""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from logging import getLogger
from threading import Thread
from time import monotonic

from typing_extensions import override

from service.bootstrap import Services
from service.jobs import STEP
from service.planning.planners import Pace
from service.records.faults import STORE_FAULTS
from service.records.pretend_pause import whole_step

LOOK_S = 0.02
AWAY_S = 1.0

log = getLogger("furrowbell.demo")


class _CutShortError(Exception):
    """The process was asked to end in the middle of a step."""


class Stepping(Thread):
    """Takes steps until the process is asked to end: after each move of the time, else as usual."""

    def __init__(
        self, services: Services, worker_id: int, *, monotonic: Callable[[], float] = monotonic
    ) -> None:
        super().__init__(name="stepping", daemon=True)
        self._services = services
        self._sharing = replace(services, pace=Pace(shared=True))
        self._worker_id = worker_id
        self._monotonic = monotonic
        self._time: datetime | None = None  # at which the last step began
        self._began_s = -STEP.every_s

    @override
    def run(self) -> None:
        """Step and wait, in turn."""
        ending = self._services.ending
        while not ending.wait(LOOK_S):
            try:
                self.look()
            except STORE_FAULTS:
                # the database is away or busy: nothing was lost, and the next look tries again
                log.exception("step failed")
                ending.wait(AWAY_S)

    def look(self) -> bool:
        """Take a step if the time has moved, or the usual pause is over; say whether."""
        waited_s = self._monotonic() - self._began_s
        if self._services.clock() == self._time and waited_s < STEP.every_s:
            return False
        with suppress(_CutShortError), whole_step(self._services.sessions, self._worker_id):
            now = self._services.clock()
            stands, self._time, self._began_s = now == self._time, now, self._monotonic()
            self._sharing.step()
            if stands:
                self._services.step()
            if not self._services.goes_on():
                raise _CutShortError
        return True
