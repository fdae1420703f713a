"""Into the queue, once for each key, and out of it again before the send."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy import or_, select

from service.messages.lifecycle import Event, State
from service.outbox.steps import step
from service.records.engine import Session
from service.records.once import insert_once
from service.records.traffic import MessageDoseRow, MessageEventRow, MessageRow


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseLink:
    """A dose that a text tells of, at the revision and day it tells."""

    dose_id: int
    revision: int
    due_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A text to be queued. `evening` is None for an answer to the grower's own text."""

    route_id: int
    phone_id: int | None
    number: str
    kind: str
    language: str
    dedupe_key: str
    due_at: datetime
    expires_at: datetime
    evening: date | None = None
    fields: Mapping[str, object] = field(default_factory=dict)
    doses: tuple[DoseLink, ...] = ()


def enqueue(session: Session, association_id: int, draft: Draft, *, now: datetime) -> int | None:
    """Queue a text and return its id, or None where its key already has a live text.

    A text that was cancelled or expired before it left gives its key free: what was right, became
    wrong and is right again is sent. One still in the queue says from now on what the draft says.
    """
    twins = session.scalars(
        select(MessageRow).where(
            MessageRow.association_id == association_id,
            or_(
                MessageRow.dedupe_key == draft.dedupe_key,
                MessageRow.dedupe_key.startswith(draft.dedupe_key + "~", autoescape=True),
            ),
        )
    ).all()
    live = [row for row in twins if not _never_left(row)]
    for row in live:
        if row.state is State.QUEUED and row.body is None:
            row.language, row.fields = draft.language, dict(draft.fields)
    if live:
        session.flush()
        return None
    key = f"{draft.dedupe_key}~{len(twins)}" if twins else draft.dedupe_key
    message_id = insert_once(
        session,
        MessageRow,
        {
            "association_id": association_id,
            "route_id": draft.route_id,
            "phone_id": draft.phone_id,
            "number": draft.number,
            "kind": draft.kind,
            "evening": draft.evening,
            "due_at": draft.due_at,
            "expires_at": draft.expires_at,
            "dedupe_key": key,
            "language": draft.language,
            "fields": dict(draft.fields),
            "state": State.QUEUED,
            "tries": 0,
            "changed_at": now,
        },
    )
    if message_id is None:
        return None
    session.add(
        MessageEventRow(
            association_id=association_id,
            message_id=message_id,
            at=now,
            event="enqueue",
            state=State.QUEUED,
            detail="",
        )
    )
    session.add_all(
        MessageDoseRow(
            association_id=association_id,
            message_id=message_id,
            dose_id=link.dose_id,
            revision=link.revision,
            due_on=link.due_on,
        )
        for link in draft.doses
    )
    session.flush()
    return message_id


def base_key(dedupe_key: str) -> str:
    """Return a text's key without the count of the cancelled texts that had it before."""
    return dedupe_key.split("~", maxsplit=1)[0]


def _never_left(row: MessageRow) -> bool:
    return row.state is State.CANCELLED or (row.state is State.EXPIRED and row.token is None)


def cancel(
    session: Session, association_id: int, message_ids: Iterable[int], *, now: datetime, why: str
) -> int:
    """Cancel those of the messages that are still queued; return how many."""
    rows = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.association_id == association_id,
            MessageRow.id.in_(list(message_ids)),
            MessageRow.state == State.QUEUED,
        )
        .order_by(MessageRow.id)
        .with_for_update()
    ).all()
    for row in rows:
        step(session, row, Event.CANCEL, now=now, detail=why)
    return len(rows)


def cancel_for_phone(
    session: Session, association_id: int, phone_id: int, *, now: datetime, why: str
) -> int:
    """Cancel all that is queued for a phone; return how many."""
    ids = session.scalars(
        select(MessageRow.id).where(
            MessageRow.association_id == association_id,
            MessageRow.phone_id == phone_id,
            MessageRow.state == State.QUEUED,
        )
    ).all()
    return cancel(session, association_id, ids, now=now, why=why)
