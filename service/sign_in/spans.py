"""How long links, visits and waits last. Pure; none of these are farm days."""

from datetime import datetime, timedelta
from math import ceil

LINK_LIFE = timedelta(hours=48)
IDLE = timedelta(hours=2)
WHOLE = timedelta(hours=12)
SEEN_EVERY = timedelta(minutes=1)
HALFWAY_LIFE = timedelta(minutes=10)
TRIES_KEPT = timedelta(hours=24)


def later(now: datetime, seconds: int) -> datetime:
    """Return the instant so many seconds from now."""
    return now + timedelta(seconds=seconds)


def seconds_until(then: datetime, now: datetime) -> int:
    """Return the whole seconds to wait until an instant, 0 when it is past."""
    return max(0, ceil((then - now).total_seconds()))
