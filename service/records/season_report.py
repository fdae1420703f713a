"""What a season looks like in the rows: for reports, and for the demo's own checks."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, or_, select

from service.messages.lifecycle import STILL_HERE, State
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState, Flag, PlantingFactRow
from service.records.shares import PlanShareRow
from service.records.traffic import (
    CallTaskRow,
    InboundRow,
    MessageDoseRow,
    MessageEventRow,
    MessageRow,
    TaskKind,
)
from service.records.wire import MessagePartRow

_BY_VOICE = (TaskKind.BY_CALL, TaskKind.NOT_TOLD, TaskKind.NO_ROOM)


@dataclass(frozen=True, slots=True, kw_only=True)
class Traffic:
    """Texts of one kind: how many left, in how many segments, and how many are unknown."""

    kind: str
    texts: int
    segments: int
    unknown: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseCount:
    """Doses in one state, for one reason where there is one."""

    state: DoseState
    reason: str | None
    doses: int
    litres: float


def days_left(session: Session, association_id: int, *, kind: str) -> dict[int, date]:
    """Return, by phone, the last day on which a text of a kind left."""
    rows = session.execute(
        select(MessageRow.phone_id, func.max(MessageRow.evening))
        .where(
            MessageRow.association_id == association_id,
            MessageRow.kind == kind,
            MessageRow.token.is_not(None),
            MessageRow.state.not_in(STILL_HERE),
        )
        .group_by(MessageRow.phone_id)
    )
    return {phone_id: day for phone_id, day in rows if phone_id is not None and day is not None}


def doses_told_by_call(session: Session, association_id: int) -> dict[int, date]:
    """Return the doses that a call has told a home of, with the day it named."""
    rows = session.execute(
        select(CallTaskRow.dose_id, CallTaskRow.key).where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.kind.in_(_BY_VOICE),
            CallTaskRow.outcome == "told",
        )
    )
    return {
        dose_id: date.fromisoformat(key.rsplit(":", 1)[1])
        for dose_id, key in rows
        if dose_id is not None
    }


def next_due_at(session: Session, association_id: int) -> datetime | None:
    """Return when the next queued text is due."""
    return session.execute(
        select(func.min(MessageRow.due_at)).where(
            MessageRow.association_id == association_id, MessageRow.state == State.QUEUED
        )
    ).scalar_one()


def traffic(session: Session, association_id: int) -> list[Traffic]:
    """Return the texts that left or may have left, by kind."""
    left = (
        select(
            MessageRow.kind,
            func.count(),
            func.coalesce(func.sum(MessageRow.segments), 0),
        )
        .where(
            MessageRow.association_id == association_id,
            MessageRow.token.is_not(None),
            MessageRow.state.not_in(STILL_HERE),
        )
        .group_by(MessageRow.kind)
        .order_by(MessageRow.kind)
    )
    unknown = _unknown_by_kind(session, association_id)
    return [
        Traffic(kind=kind, texts=texts, segments=segments or 0, unknown=unknown.get(kind, 0))
        for kind, texts, segments in session.execute(left)
    ]


def _unknown_by_kind(session: Session, association_id: int) -> Mapping[str, int]:
    rows = session.execute(
        select(MessageRow.kind, func.count())
        .where(MessageRow.association_id == association_id, MessageRow.state == State.UNKNOWN)
        .group_by(MessageRow.kind)
    )
    return dict(rows.all())


def readings(session: Session, association_id: int) -> dict[str, int]:
    """Return how many texts came in, by what they were read to mean."""
    rows = session.execute(
        select(InboundRow.meaning, func.count())
        .where(InboundRow.association_id == association_id)
        .group_by(InboundRow.meaning)
        .order_by(InboundRow.meaning)
    )
    return dict(rows.all())


def dose_counts(session: Session, association_id: int) -> list[DoseCount]:
    """Return the season's doses by state and reason."""
    rows = session.execute(
        select(DoseRow.state, DoseRow.reason, func.count(), func.sum(DoseRow.urine_l))
        .where(DoseRow.association_id == association_id)
        .group_by(DoseRow.state, DoseRow.reason)
        .order_by(DoseRow.state, DoseRow.reason)
    )
    return [
        DoseCount(state=state, reason=reason, doses=count, litres=litres or 0.0)
        for state, reason, count, litres in rows
    ]


def task_counts(session: Session, association_id: int) -> dict[TaskKind, int]:
    """Return how many calls and things to look at were opened, by why."""
    rows = session.execute(
        select(CallTaskRow.kind, func.count())
        .where(CallTaskRow.association_id == association_id)
        .group_by(CallTaskRow.kind)
    )
    return dict(rows.all())


def flag_counts(session: Session, association_id: int) -> dict[Flag, int]:
    """Return how many facts broke a rule, by which."""
    rows = session.execute(
        select(PlantingFactRow.flag, func.count())
        .where(PlantingFactRow.association_id == association_id, PlantingFactRow.flag.is_not(None))
        .group_by(PlantingFactRow.flag)
    )
    return {flag: count for flag, count in rows if flag is not None}


def on_their_way(session: Session, association_id: int) -> int:
    """Return how many texts left and have no receipt yet."""
    return session.scalars(
        select(func.count()).where(
            MessageRow.association_id == association_id, MessageRow.state == State.SUBMITTED
        )
    ).one()


def shares_to_plan(session: Session, association_id: int, *, since: datetime) -> int:
    """Return how many shares of an association were not planned at an instant or after it."""
    planned_at = PlanShareRow.planned_at
    return session.scalars(
        select(func.count()).where(
            PlanShareRow.association_id == association_id,
            or_(planned_at.is_(None), planned_at < since),
        )
    ).one()


def texts_taken(session: Session, association_id: int) -> int:
    """Return how many texts from phones were taken in."""
    return session.scalars(
        select(func.count()).where(InboundRow.association_id == association_id)
    ).one()


def parts_of_texts(session: Session, association_id: int) -> dict[int, tuple[str, ...]]:
    """Return the ids that the gateway gave to the parts of long texts, by the text's id."""
    found: dict[int, list[str]] = {}
    for row in session.scalars(
        select(MessagePartRow)
        .where(MessagePartRow.association_id == association_id)
        .order_by(MessagePartRow.message_id, MessagePartRow.number)
    ):
        found.setdefault(row.message_id, []).append(row.gateway_id)
    return {message_id: tuple(ids) for message_id, ids in found.items()}


def all_messages(session: Session, association_id: int) -> list[MessageRow]:
    """Return every text, oldest first."""
    return list(
        session.scalars(
            select(MessageRow)
            .where(MessageRow.association_id == association_id)
            .order_by(MessageRow.id)
        )
    )


def claimed_at(session: Session, association_id: int) -> dict[int, datetime]:
    """Return when each text was last claimed, by its id."""
    rows = session.execute(
        select(MessageEventRow.message_id, func.max(MessageEventRow.at))
        .where(
            MessageEventRow.association_id == association_id,
            MessageEventRow.event == "claim",
        )
        .group_by(MessageEventRow.message_id)
    )
    return dict(rows.all())


def dose_links(session: Session, association_id: int) -> dict[int, list[MessageDoseRow]]:
    """Return the doses that each text tells of, by the text's id."""
    found: dict[int, list[MessageDoseRow]] = {}
    for link in session.scalars(
        select(MessageDoseRow)
        .where(MessageDoseRow.association_id == association_id)
        .order_by(MessageDoseRow.id)
    ):
        found.setdefault(link.message_id, []).append(link)
    return found
