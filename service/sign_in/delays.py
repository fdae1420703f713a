"""How long to wait after failed tries.

A try counts as failed from its start and is struck off when it proves right, so that many at
once gain nothing. There is no lock: the longest wait is a minute. A name waits only where the
failures came from, or a stranger could keep its owner out.
"""

from collections.abc import Collection
from datetime import datetime

from service.errors import ServiceError
from service.records.engine import Session
from service.records.sign_in_tries import (
    clear_tries,
    count_try,
    drop_tries_before,
    set_wait,
    waits,
)
from service.sign_in.spans import TRIES_KEPT, later, seconds_until

LONGEST_S = 60


class WaitError(ServiceError):
    """Too many failed tries; `seconds` says how long to wait."""

    def __init__(self, seconds: int) -> None:
        unit = "second" if seconds == 1 else "seconds"
        super().__init__(f"Wait {seconds} {unit}, then try again.")
        self.seconds = seconds


def delay_s(failures: int) -> int:
    """Return the wait in seconds after so many failures in a row: 1, 2, 4 … 60."""
    if failures <= 0:
        return 0
    return LONGEST_S if failures > LONGEST_S else min(LONGEST_S, 1 << (failures - 1))


def wait_s(session: Session, keys: Collection[str], *, now: datetime) -> int:
    """Return how many seconds a further try under any of these keys must wait."""
    return max((seconds_until(until, now) for until in waits(session, keys)), default=0)


def begin_try(session: Session, keys: Collection[str], *, now: datetime) -> int:
    """Count a try as failed under each key, and return the highest count.

    Tries that nobody repeated for a day are forgotten here.
    """
    drop_tries_before(session, now - TRIES_KEPT)
    counts = []
    for key in sorted(keys):  # one order for all, so that two at once cannot block each other
        failures = count_try(session, key, now=now)
        set_wait(session, key, until=later(now, delay_s(failures)))
        counts.append(failures)
    return max(counts, default=0)


def strike_off(session: Session, keys: Collection[str]) -> None:
    """Forget the failures under these keys, since the try proved right."""
    clear_tries(session, keys)
