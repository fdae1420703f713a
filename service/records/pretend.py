"""The demo's time: one row that all its processes share, and that only moves forward."""

from datetime import datetime

from service.errors import RefusedError
from service.records.engine import Session
from service.records.traffic import PretendClockRow


def pretend_now(session: Session) -> datetime | None:
    """Return the pretended instant, or None before it was first set."""
    row = session.get(PretendClockRow, 1)
    return None if row is None else row.now


def move_pretend_clock(session: Session, to: datetime) -> None:
    """Move the pretended time forward.

    Raises:
        RefusedError: `clock`, where it would go backwards.
    """
    row = session.get(PretendClockRow, 1, with_for_update=True)
    if row is None:
        session.add(PretendClockRow(id=1, now=to))
        return
    if to < row.now:
        raise RefusedError("clock", "The demo's time only moves forward; name a later instant.")
    row.now = to
