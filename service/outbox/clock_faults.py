"""What `furrowbell check` may say of the watch on the clock."""

from datetime import datetime

from service.outbox.clock_judge import Turn, turn_of
from service.records.clock_watch import clock_watch
from service.records.engine import Session

_SETTLE = (
    "Nothing is sent meanwhile. Set the clock right, or have an administrator say on Today that it"
    " is right."
)


def clock_faults(session: Session, now: datetime) -> list[str]:
    """Return what is wrong with a clock that shows `now`, a sentence each; [] where it is right.

    A service whose clock was never watched, such as a demo, has nothing to say.
    """
    row = clock_watch(session)
    if row is None:
        return []
    trusted = f"{row.trusted_at:%Y-%m-%d %H:%M} UTC"
    match turn_of(row.trusted_at, now):
        case Turn.BACK:
            return [f"The clock has gone back: the service has already seen {trusted}. {_SETTLE}"]
        case Turn.AHEAD:
            return [
                f"The service has not run since {trusted}, or the clock has jumped ahead. {_SETTLE}"
            ]
        case Turn.STEADY if row.doubted_at is not None:
            return [f"A running service has doubted its clock since {trusted}. {_SETTLE}"]
        case Turn.STEADY:
            return []
