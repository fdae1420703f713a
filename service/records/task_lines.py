"""Tasks as a list shows them, those that matter most first, in a fixed number of looks.

The order: first doses that can still be given, the earliest last day first (the last day never
passes the cut-off), then the youngest plot, then the most litres; then tasks without a dose and
doses whose last day has passed, the oldest task first.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, case, func, or_, select

from service.records.engine import Session
from service.records.fields import DoseRow, PlantingRow, PlotRow
from service.records.people import AreaRow, HouseholdRow
from service.records.traffic import CallTaskRow, InboundRow, MessageRow, TaskKind

Lines = Select[CallTaskRow, HouseholdRow, AreaRow, DoseRow, PlantingRow, PlotRow, InboundRow]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """A task with what it is about, as far as it names that."""

    task: CallTaskRow
    household: HouseholdRow | None
    area: AreaRow | None
    dose: DoseRow | None
    planting: PlantingRow | None
    plot: PlotRow | None
    text: InboundRow | None

    @property
    def code(self) -> str:
        """Return the dose's reply code; of a plot without a letter, the dose's number alone."""
        number = "" if self.dose is None else str(self.dose.number)
        return f"{self.letter}{number}"

    @property
    def letter(self) -> str:
        """Return the plot's letter, blank where it has none."""
        return "" if self.plot is None else self.plot.letter or ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskCounts:
    """How many tasks of each kind wait now, and how many rest until a later day."""

    now: dict[TaskKind, int]
    resting: int

    def of(self, kinds: Collection[TaskKind]) -> int:
        """Return how many tasks of these kinds wait now."""
        return sum(self.now.get(kind, 0) for kind in kinds)


def count_tasks(session: Session, association_id: int, *, today: date) -> TaskCounts:
    """Return how many tasks wait."""
    rows = session.execute(
        select(CallTaskRow.kind, func.count(), func.sum(case((_waits(today), 1), else_=0)))
        .where(CallTaskRow.association_id == association_id, CallTaskRow.closed_at.is_(None))
        .group_by(CallTaskRow.kind)
    ).all()
    return TaskCounts(
        now={kind: now for kind, _, now in rows if now},
        resting=sum(count - now for _, count, now in rows),
    )


def task_lines(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    *,
    kinds: Collection[TaskKind],
    today: date,
    first: int,
    most: int,
) -> list[TaskLine]:
    """Return the tasks of these kinds that wait now, `most` from the one numbered `first` on."""
    query = (
        _lines(association_id)
        .where(CallTaskRow.closed_at.is_(None), _waits(today), CallTaskRow.kind.in_(kinds))
        .order_by(*_order(today))
    )
    return _read(session, query.offset(first).limit(most))


def task_order(
    session: Session, association_id: int, *, kinds: Collection[TaskKind], today: date
) -> list[int]:
    """Return the ids of the tasks of these kinds that wait now, in their order."""
    return list(
        session.scalars(
            select(CallTaskRow.id)
            .outerjoin(DoseRow, DoseRow.id == CallTaskRow.dose_id)
            .outerjoin(PlantingRow, PlantingRow.id == DoseRow.planting_id)
            .where(
                CallTaskRow.association_id == association_id,
                CallTaskRow.closed_at.is_(None),
                _waits(today),
                CallTaskRow.kind.in_(kinds),
            )
            .order_by(*_order(today))
        )
    )


def settled_lines(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session, association_id: int, *, who: str, since: datetime, first: int, most: int
) -> list[TaskLine]:
    """Return the tasks that a member of staff has closed since an instant, the last first."""
    query = (
        _lines(association_id)
        .where(CallTaskRow.closed_by == who, CallTaskRow.closed_at >= since)
        .order_by(CallTaskRow.closed_at.desc(), CallTaskRow.id.desc())
    )
    return _read(session, query.offset(first).limit(most))


def count_settled(session: Session, association_id: int, *, who: str, since: datetime) -> int:
    """Return how many tasks a member of staff has closed since an instant."""
    return session.execute(
        select(func.count()).where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.closed_by == who,
            CallTaskRow.closed_at >= since,
        )
    ).scalar_one()


def task_line(session: Session, association_id: int, task_id: int) -> TaskLine:
    """Return one task, open or closed."""
    row = session.execute(_lines(association_id).where(CallTaskRow.id == task_id)).one()
    return _line(row)


def message_of_task(session: Session, association_id: int, message_id: int) -> MessageRow | None:
    """Return the text that a task is about, or None where there is none."""
    return session.scalars(
        select(MessageRow).where(
            MessageRow.association_id == association_id, MessageRow.id == message_id
        )
    ).one_or_none()


def _lines(association_id: int) -> Lines:
    return (
        select(CallTaskRow, HouseholdRow, AreaRow, DoseRow, PlantingRow, PlotRow, InboundRow)
        .outerjoin(HouseholdRow, HouseholdRow.id == CallTaskRow.household_id)
        .outerjoin(AreaRow, AreaRow.id == HouseholdRow.area_id)
        .outerjoin(DoseRow, DoseRow.id == CallTaskRow.dose_id)
        .outerjoin(
            PlantingRow,
            PlantingRow.id == func.coalesce(DoseRow.planting_id, CallTaskRow.planting_id),
        )
        .outerjoin(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .outerjoin(InboundRow, InboundRow.id == CallTaskRow.inbound_id)
        .where(CallTaskRow.association_id == association_id)
    )


def _read(session: Session, query: Lines) -> list[TaskLine]:
    return [_line(row) for row in session.execute(query)]


def _line(row: Any) -> TaskLine:  # noqa: ANN401 -- a row of seven tables, four of them perhaps none
    task, household, area, dose, planting, plot, text = row
    return TaskLine(
        task=task,
        household=household,
        area=area,
        dose=dose,
        planting=planting,
        plot=plot,
        text=text,
    )


def _waits(today: date) -> ColumnElement[bool]:
    return or_(CallTaskRow.rests_until.is_(None), CallTaskRow.rests_until <= today)


def _order(today: date) -> tuple[ColumnElement[Any], ...]:
    still_given = DoseRow.closes_on >= today
    return (
        case((still_given, 0), else_=1).asc(),
        case((still_given, DoseRow.closes_on)).asc(),
        case((still_given, PlantingRow.planted_on)).desc(),
        case((still_given, DoseRow.urine_l)).desc(),
        CallTaskRow.opened_at.asc(),
        CallTaskRow.id.asc(),
    )
