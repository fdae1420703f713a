"""A process of the service says that it lives, from its beginning to its end."""

import os
import socket
from dataclasses import dataclass

from service.bootstrap import Services
from service.clock import system_clock
from service.outbox.retry import worker_forgotten
from service.records.workers import (
    WorkerKind,
    begin_worker,
    end_worker,
    forget_workers,
    worker_lives,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heartbeat:
    """The row of this process."""

    services: Services
    worker_id: int

    @classmethod
    def begin(cls, services: Services, kind: WorkerKind) -> "Heartbeat":
        """Write down that this process has begun; forget those of long ago."""
        now = system_clock()
        place = f"{socket.gethostname()} {os.getpid()}"
        names = [route.name for route in services.settings.routes]
        routes = [name for name in names if name in services.serving or not services.serving]
        with services.sessions.begin() as session:
            forget_workers(session, before=worker_forgotten(now))
            worker_id = begin_worker(session, kind, place=place, routes=routes, now=now)
        return cls(services=services, worker_id=worker_id)

    def beat(self) -> None:
        """Write down that this process lives."""
        with self.services.sessions.begin() as session:
            worker_lives(session, self.worker_id, now=system_clock())

    def end(self) -> None:
        """Write down that this process ended as it should."""
        with self.services.sessions.begin() as session:
            end_worker(session, self.worker_id, now=system_clock())
