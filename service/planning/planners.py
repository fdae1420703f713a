"""Plans an association share by share, each in a transaction of its own.

Any number of planners may be at it, in any processes: what one holds, the others leave to it.
Nobody leads, and nothing is lost with a planner that is killed.
"""

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from service.clock import Clock
from service.messages.catalogue import Catalogue
from service.outbox.overdue import expire_overdue, lapse_leases
from service.outbox.ways import move_on, route_chooser, ways
from service.planning.send_window import PLANNED_AGAIN_AFTER
from service.planning.tick import Tools, call_about_unknown, plan_households
from service.records.engine import Session, Sessions
from service.records.shares import (
    PlanShareRow,
    ensure_shares,
    households_of_share,
    take_oldest_share,
    take_share,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Whether the work is shared, and how long a planner goes on before it sends again.

    A planner that shares leaves out what another has planned a moment ago or holds now; one that
    does not plans every share each time.
    """

    shared: bool = False
    at_most_s: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Planner:
    """Brings an association's queue and call list in line with what is known."""

    sessions: Sessions
    association_id: int
    catalogue: Catalogue
    clock: Clock
    pace: Pace = field(default_factory=Pace)
    go_on: Callable[[], bool] = lambda: True
    monotonic: Callable[[], float] = time.monotonic

    def run_once(self) -> int:
        """Plan every share that is due, or those for which there is time; return how many."""
        ends = self.monotonic() + self.pace.at_most_s
        tools, blocks = self._prepare()
        done = 0
        while self.go_on() and (done == 0 or self.monotonic() < ends):
            if not self._plan_one(tools, blocks):
                break
            done += 1
        return done

    def _prepare(self) -> tuple[Tools, list[int]]:
        """Do what concerns the whole association."""
        now = self.clock()
        with self.sessions.begin(alone=self.association_id) as session:
            lapse_leases(session, self.association_id, now=now)
            expire_overdue(session, self.association_id, now=now)
            call_about_unknown(session, self.association_id, now=now)
            known = ways(session, self.association_id, now=now)
            move_on(session, self.association_id, known, now=now)
            blocks = ensure_shares(session, self.association_id)
        return Tools(catalogue=self.catalogue, route_of=route_chooser(known)), blocks

    def _plan_one(self, tools: Tools, blocks: list[int]) -> bool:
        now = self.clock()
        with self.sessions.begin(beside=self.association_id) as session:
            share = self._take(session, blocks, now)
            if share is None:
                return False
            homes = households_of_share(session, self.association_id, share.block)
            plan_households(session, self.association_id, homes, tools=tools, now=now)
            if self.pace.shared:
                share.planned_at = now
        return True

    def _take(self, session: Session, blocks: list[int], now: datetime) -> PlanShareRow | None:
        if self.pace.shared:
            before = now - PLANNED_AGAIN_AFTER
            return take_oldest_share(session, self.association_id, before=before, now=now)
        return take_share(session, self.association_id, blocks.pop(0)) if blocks else None
