"""A clock in doubt: in which way, and what a person may say of it."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from service.outbox.clock_judge import Turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Why the clock is not trusted: the last instant that was, and what is shown now."""

    turn: Turn
    trusted_at: datetime
    shown_at: datetime


class Confirmation(StrEnum):
    """What came of a person's saying that the clock is right."""

    TRUSTED = "trusted"
    NOT_NEEDED = "not needed"
    MOVED = "moved"
