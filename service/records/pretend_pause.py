"""The demo's time stands still while a worker takes a step, and is moved only between two steps.

In life a step is over before the clock has moved by much. The demo moves its clock by hours at
once, and a step that met two times of day, or facts of a day that it does not know of yet, would
be one that life never sees.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import text

from service.records.engine import Sessions
from service.records.workers import count_step

_TIME = 0x4643  # the first of an advisory lock's two numbers; that of associations is another
_STAND_STILL = text("SELECT pg_advisory_xact_lock_shared(:space, 0)")
_WAIT_FOR_ALL = text("SELECT pg_advisory_xact_lock(:space, 0)")


@contextmanager
def between_steps(sessions: Sessions) -> Iterator[None]:
    """Keep workers from taking a step while the block runs; steps on their way end before it.

    Only on PostgreSQL. The lock is the server's, so a worker that is killed lets go of it.
    """
    with sessions.begin() as session:
        session.execute(_WAIT_FOR_ALL, {"space": _TIME})
        yield


@contextmanager
def whole_step(sessions: Sessions, worker_id: int) -> Iterator[None]:
    """Count what the block does as one step, in which the demo's time has stood still.

    One that raises does not count; nor does one whose hold on the time was lost on the way.
    """
    if sessions.engine.dialect.name != "postgresql":
        yield
        with sessions.begin() as session:
            count_step(session, worker_id)
        return
    with sessions.begin() as session:
        session.execute(_STAND_STILL, {"space": _TIME})
        yield
        count_step(session, worker_id)
