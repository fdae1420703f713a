"""A worker to be killed, frozen or cut off: the service's own dispatcher in a process of its own.

`python -m tests.faults.worker URL FOLDER LEASE_S`: sends what is queued for association 1 to the
pretend network in the folder, until the queue is empty. The lease is shortened, for nobody waits
two minutes for a frozen worker here.
"""

import sys
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from threading import Event

from gateway_adapters.contract import Outcome, Outgoing
from gateway_adapters.fake import FakeGateway
from service.outbox import retry

SEND_S = 0.001  # a send; so most faults meet a batch that has left in part


def run(url: str, folder: Path, lease_s: float) -> None:
    """Send until nothing is queued."""
    retry.LEASE, retry.SUBMIT_DEADLINE = timedelta(seconds=lease_s), timedelta(seconds=lease_s / 4)
    from service.clock import system_clock  # noqa: PLC0415 -- reads the lease when it is imported
    from service.dispatch.dispatcher import (  # noqa: PLC0415 -- reads the lease as well
        Dispatcher,
        Lane,
        Watch,
    )
    from service.records.engine import Sessions, open_engine  # noqa: PLC0415 -- as above
    from service.records.faults import STORE_FAULTS  # noqa: PLC0415 -- as above
    from tests.faults.queue import left  # noqa: PLC0415 -- as above

    gateway = SlowGateway(FakeGateway(clock=system_clock, folder=folder))
    sessions = Sessions(open_engine(url))
    lane = Lane(
        association_id=1,
        route_id=1,
        name="main",
        sender="15050",
        language="en",
        gateway=gateway,  # type: ignore[arg-type]  # -- the dispatcher asks for `submit` alone
    )
    dispatcher = Dispatcher(
        sessions, lane, render=lambda row: str(row.body), watch=Watch(clock=system_clock)
    )
    print("ready", flush=True)  # noqa: T201 -- whoever started this process waits for it
    while True:
        try:
            if not dispatcher.run_once() and not left(sessions):
                return
        except STORE_FAULTS:
            Event().wait(0.1)  # as the ticker does: the next step tries again


class SlowGateway:
    """Sends one text after another, each with a delay, within the deadline."""

    def __init__(self, network: FakeGateway) -> None:
        self._network = network

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Send a batch."""
        outcomes: list[Outcome] = []
        for message in batch:
            Event().wait(SEND_S)
            outcomes += self._network.submit([message], deadline=deadline)
        return outcomes


if __name__ == "__main__":
    run(sys.argv[1], Path(sys.argv[2]), float(sys.argv[3]))
