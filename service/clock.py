"""The one place that reads the time."""

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]


def system_clock() -> datetime:
    """Return this instant, aware, in UTC."""
    return datetime.now(UTC)
