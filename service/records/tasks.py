"""Call tasks: opened once for their key, closed by a person's outcome."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select, update

from service.records.engine import Session
from service.records.fields import DoseRow
from service.records.in_parts import in_parts
from service.records.once import insert_once
from service.records.people import AuditRow
from service.records.traffic import CallTaskRow, TaskKind

TOLD_BY_GROWER = "told by the grower"  # this and the next: outcomes that no call brought
CROP_FAILED = "crop failed"
DOSES_GO_ON = "doses go on"
SITE_DECIDED = "decided"
_ABOUT_A_DOSE = (
    TaskKind.SILENT,
    TaskKind.NOT_TOLD,
    TaskKind.BY_CALL,
    TaskKind.NO_ROOM,
    TaskKind.UNREAD,
)
OF_A_CROP = (
    *_ABOUT_A_DOSE,
    TaskKind.NOT_READY,
    TaskKind.EMERGENCE,
    TaskKind.BURNT,
    TaskKind.SITE,
    TaskKind.HELD,
)
"""What asks for something to be done for a crop, so that it ends with the crop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A call to make or a thing to look at, before it has a row."""

    kind: TaskKind
    key: str
    household_id: int | None = None
    phone_id: int | None = None
    dose_id: int | None = None
    planting_id: int | None = None
    inbound_id: int | None = None


def open_task(session: Session, association_id: int, task: Task, *, now: datetime) -> int | None:
    """Open a task and return its id, or None where one of this key was opened before."""
    return insert_once(
        session,
        CallTaskRow,
        {
            "association_id": association_id,
            "household_id": task.household_id,
            "phone_id": task.phone_id,
            "dose_id": task.dose_id,
            "planting_id": task.planting_id,
            "inbound_id": task.inbound_id,
            "kind": task.kind,
            "key": f"{task.kind.value}:{task.key}",
            "opened_at": now,
        },
    )


def known_task_keys(session: Session, association_id: int, keys: Iterable[str]) -> set[str]:
    """Return those of these keys under which a task was ever opened."""
    found: set[str] = set()
    for part in in_parts(keys):
        found.update(
            session.scalars(
                select(CallTaskRow.key).where(
                    CallTaskRow.association_id == association_id, CallTaskRow.key.in_(part)
                )
            )
        )
    return found


def open_tasks(session: Session, association_id: int) -> list[CallTaskRow]:
    """Return the tasks that wait for a person, oldest first."""
    return list(
        session.scalars(
            select(CallTaskRow)
            .where(CallTaskRow.association_id == association_id, CallTaskRow.closed_at.is_(None))
            .order_by(CallTaskRow.opened_at, CallTaskRow.id)
        )
    )


def task_to_settle(session: Session, association_id: int, task_id: int) -> CallTaskRow:
    """Return a task, open or closed; nobody else settles it meanwhile."""
    return session.scalars(
        select(CallTaskRow)
        .where(CallTaskRow.association_id == association_id, CallTaskRow.id == task_id)
        .with_for_update()
    ).one()


def close_task(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    task_id: int,
    *,
    outcome: str,
    now: datetime,
    who: str | None = None,
) -> None:
    """Close a task with what the call brought; `who` of the staff made it, if one did."""
    session.execute(
        update(CallTaskRow)
        .where(CallTaskRow.association_id == association_id, CallTaskRow.id == task_id)
        .values(closed_at=now, closed_by=who, outcome=outcome)
    )


def put_off_task(
    session: Session, association_id: int, task_id: int, *, until: date, tries: int
) -> None:
    """Let a task rest until a day, with how many calls nobody answered so far."""
    session.execute(
        update(CallTaskRow)
        .where(CallTaskRow.association_id == association_id, CallTaskRow.id == task_id)
        .values(rests_until=until, tries=tries)
    )


def close_for_dose(session: Session, association_id: int, dose_id: int, *, now: datetime) -> None:
    """Close what is open about a dose, now that the grower has told of it."""
    session.execute(
        update(CallTaskRow)
        .where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.dose_id == dose_id,
            CallTaskRow.closed_at.is_(None),
            CallTaskRow.kind.in_(_ABOUT_A_DOSE),
        )
        .values(closed_at=now, outcome=TOLD_BY_GROWER)
    )


def close_about_emergence(
    session: Session, association_id: int, planting_id: int, *, now: datetime
) -> None:
    """Close the question whether plants are up, now that somebody has told."""
    session.execute(
        update(CallTaskRow)
        .where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.planting_id == planting_id,
            CallTaskRow.kind == TaskKind.EMERGENCE,
            CallTaskRow.closed_at.is_(None),
        )
        .values(closed_at=now, outcome=TOLD_BY_GROWER)
    )


def close_about_planting(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    planting_id: int,
    *,
    kinds: Collection[TaskKind],
    outcome: str,
    now: datetime,
) -> None:
    """Close what is open of these kinds about a planting or one of its doses."""
    doses = select(DoseRow.id).where(
        DoseRow.association_id == association_id, DoseRow.planting_id == planting_id
    )
    session.execute(
        update(CallTaskRow)
        .where(
            CallTaskRow.association_id == association_id,
            or_(CallTaskRow.planting_id == planting_id, CallTaskRow.dose_id.in_(doses)),
            CallTaskRow.kind.in_(kinds),
            CallTaskRow.closed_at.is_(None),
        )
        .values(closed_at=now, outcome=outcome)
    )


def audit(session: Session, association_id: int, entry: AuditRow) -> None:
    """Write an audit row for the association."""
    entry.association_id = association_id
    session.add(entry)
