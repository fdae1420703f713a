"""Processes that run the service, each saying now and then that it lives."""

from collections.abc import Sequence
from datetime import datetime
from enum import StrEnum

from sqlalchemy import JSON, String, delete, select, update
from sqlalchemy.orm import Mapped, mapped_column

from service.records.base import Base
from service.records.engine import Session


class WorkerKind(StrEnum):
    """What a process does: everything, the sending and planning alone, or the pages alone."""

    SERVE = "serve"
    WORK = "work"
    WEB = "web"


class WorkerRow(Base):
    """A process; `place` is its machine and its number there, `routes` those that it serves.

    `ended_at` stays empty where it was killed. `steps` counts, in the demo alone, the steps that it
    has done from beginning to end.
    """

    __tablename__ = "worker"

    id: Mapped[int] = mapped_column(primary_key=True)
    place: Mapped[str] = mapped_column(String(120))
    kind: Mapped[WorkerKind]
    routes: Mapped[list[str]] = mapped_column(JSON)
    started_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    steps: Mapped[int] = mapped_column(server_default="0")


def begin_worker(
    session: Session, kind: WorkerKind, *, place: str, routes: Sequence[str], now: datetime
) -> int:
    """Write down that a process has begun, and return its id."""
    row = WorkerRow(place=place[:120], kind=kind, routes=list(routes), started_at=now, seen_at=now)
    session.add(row)
    session.flush()
    return row.id


def worker_lives(session: Session, worker_id: int, *, now: datetime) -> None:
    """Write down that a process lives."""
    session.execute(update(WorkerRow).where(WorkerRow.id == worker_id).values(seen_at=now))


def end_worker(session: Session, worker_id: int, *, now: datetime) -> None:
    """Write down that a process ended as it should."""
    session.execute(update(WorkerRow).where(WorkerRow.id == worker_id).values(ended_at=now))


def count_step(session: Session, worker_id: int) -> None:
    """Write down that a process has done one more step from beginning to end."""
    more = WorkerRow.steps + 1
    session.execute(update(WorkerRow).where(WorkerRow.id == worker_id).values(steps=more))


def steps_taken(session: Session) -> dict[int, int]:
    """Return the whole steps that each process has done, those that have ended too, by its id."""
    return dict(session.execute(select(WorkerRow.id, WorkerRow.steps)).all())


def workers_since(session: Session, since: datetime) -> list[WorkerRow]:
    """Return the processes that have not ended and were seen since, the newest first."""
    query = select(WorkerRow).where(WorkerRow.ended_at.is_(None), WorkerRow.seen_at >= since)
    return list(session.scalars(query.order_by(WorkerRow.id.desc())))


def forget_workers(session: Session, *, before: datetime) -> None:
    """Forget processes that were last seen before an instant."""
    session.execute(delete(WorkerRow).where(WorkerRow.seen_at < before))
