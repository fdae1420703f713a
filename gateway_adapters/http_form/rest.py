"""How long a throttled route rests: as the gateway says, else waits that double."""

import time
from collections.abc import Callable
from dataclasses import replace
from secrets import SystemRandom

from gateway_adapters.contract import Accepted, Outcome, Rejected, RejectKind, Scope

FIRST_S = 1.0
LONGEST_S = 60.0

_JITTER = SystemRandom().random


class Rest:
    """Remembers that the gateway asked us to wait.

    Without a time from the gateway a wait is 1 s, doubling to 60 s, with jitter that takes up to
    half of it away (from memory, not looked up); one clear answer begins anew.
    """

    def __init__(
        self,
        *,
        monotonic: Callable[[], float] = time.monotonic,
        jitter: Callable[[], float] = _JITTER,
    ) -> None:
        self._monotonic = monotonic
        self._jitter = jitter
        self._next_s = FIRST_S
        self._asked: Rejected | None = None
        self._until = 0.0

    def learn(self, outcome: Outcome) -> Outcome:
        """Return the outcome, with a wait if the route was throttled and none was given."""
        if isinstance(outcome, Accepted):
            self._next_s = FIRST_S
        if (
            not isinstance(outcome, Rejected)
            or outcome.kind is not RejectKind.THROTTLED
            or outcome.scope is not Scope.ROUTE
        ):
            return outcome
        wait_s = outcome.retry_after_s
        if wait_s is None:
            wait_s = self._next_s * (1 - self._jitter() / 2)
            self._next_s = min(2 * self._next_s, LONGEST_S)
        self._asked = replace(outcome, retry_after_s=wait_s)
        self._until = self._monotonic() + wait_s
        return self._asked

    def left(self) -> Rejected | None:
        """Return what to answer while the route rests, with the wait that is left, or None."""
        left_s = self._until - self._monotonic()
        if self._asked is None or left_s <= 0:
            return None
        return replace(self._asked, retry_after_s=left_s)
