"""A worker to be killed, in a process of its own: the service's dispatcher, or the usual queue.

`python -m tests.bench.crash_worker URL HOW LOG BATCH`. The usual queue leases a batch, sends it,
marks it, and takes leases that ran out again: at least once.
"""

import os
import sys
from collections.abc import Callable
from threading import Event

from sqlalchemy import text

from service.records.engine import Sessions
from tests.bench.sending import Acceptor, dispatcher
from tests.bench.stock import opened

SEND_S = 0.00005
NAIVE, OURS = "naive", "dispatcher"
_TAKE = text(
    """UPDATE message SET state = 'claimed', lease_until = now() + interval '0.2 second'
       WHERE id IN (SELECT id FROM message
         WHERE state = 'queued' OR (state = 'claimed' AND lease_until < now())
         ORDER BY due_at, id LIMIT :batch FOR UPDATE SKIP LOCKED)
       RETURNING id, number"""
)
_MARK = text("UPDATE message SET state = 'submitted' WHERE id = ANY(:ids)")
_LEFT = text("SELECT count(*) FROM message WHERE state IN ('queued', 'claimed')")


def naive(sessions: Sessions, send: Callable[[str], None], batch: int) -> None:
    """Send until nothing is left."""
    while True:
        with sessions.begin() as session:
            rows = session.execute(_TAKE, {"batch": batch}).all()
        for _, number in rows:
            send(number)
        with sessions.begin() as session:
            session.execute(_MARK, {"ids": [key for key, _ in rows]})
            left = session.execute(_LEFT).scalar_one()
        if not left:
            return
        if not rows:
            Event().wait(0.05)


def run(url: str, how: str, log: str, batch: int) -> None:
    """Send what is queued."""
    descriptor = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    pause = Event()

    def wait() -> object:
        return pause.wait(SEND_S)

    def send(number: str) -> None:
        wait()
        os.write(descriptor, number.encode() + b"\n")

    with opened(url) as sessions:
        ours = dispatcher(sessions, Acceptor(log=descriptor, pause=wait))
        print("ready", flush=True)  # noqa: T201 -- whoever started this process waits for it
        if how == NAIVE:
            naive(sessions, send, batch)
        else:
            ours.run_once()


if __name__ == "__main__":
    run(sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4]))
