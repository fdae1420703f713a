"""Whether the machine's clock may be trusted, by the last instant that was. Pure.

Instants are aware, and nothing here asks for a zone: a change of the hour, a leap day or the end
of a year is no jump.
"""

from datetime import datetime
from enum import StrEnum

from service.outbox.retry import CLOCK_AHEAD, CLOCK_BACK, CLOCK_KEPT


class Turn(StrEnum):
    """How the clock stands to the last trusted instant."""

    STEADY = "steady"
    BACK = "back"
    AHEAD = "ahead"


def turn_of(trusted_at: datetime, now: datetime) -> Turn:
    """Return whether the clock has gone back by more than 5 minutes, or ahead by more than 26 h."""
    if trusted_at - now > CLOCK_BACK:
        return Turn.BACK
    if now - trusted_at > CLOCK_AHEAD:
        return Turn.AHEAD
    return Turn.STEADY


def worth_keeping(trusted_at: datetime, now: datetime) -> bool:
    """Say whether an instant is so much later than the one kept that it is to be kept instead."""
    return now - trusted_at >= CLOCK_KEPT


def was_set(before: datetime, now: datetime) -> bool:
    """Say whether the clock was set between two looks, rather than running on.

    A clock that went back and was left so reaches the old instant again all by itself; it is no
    more right for that.
    """
    return abs(now - before) > CLOCK_BACK
