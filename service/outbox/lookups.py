"""What has been sent to whom, as planning needs to know it."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select

from service.messages.lifecycle import STILL_HERE, State
from service.outbox.enqueue import base_key
from service.outbox.evenings import texts_left
from service.records.engine import Session
from service.records.in_parts import in_parts
from service.records.traffic import MessageDoseRow, MessageRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was told of one dose: in how many texts, and for which days."""

    texts: int = 0
    days: frozenset[date] = frozenset()


NOTHING_TOLD = Told()


def told_of_doses(
    session: Session, association_id: int, *, doses: Iterable[int]
) -> Mapping[int, Told]:
    """Return, by dose, the service-started texts about these that arrived or may have arrived."""
    query = (
        select(MessageDoseRow.dose_id, MessageDoseRow.due_on)
        .join(MessageRow, MessageRow.id == MessageDoseRow.message_id)
        .where(
            MessageDoseRow.association_id == association_id,
            MessageRow.evening.is_not(None),
            MessageRow.token.is_not(None),
            MessageRow.state.not_in((*STILL_HERE, State.FAILED, State.EXPIRED)),
        )
    )
    days: dict[int, list[date]] = defaultdict(list)
    for part in in_parts(doses):
        for dose_id, due_on in session.execute(query.where(MessageDoseRow.dose_id.in_(part))):
            days[dose_id].append(due_on)
    return {dose_id: Told(texts=len(told), days=frozenset(told)) for dose_id, told in days.items()}


def evenings_used(
    session: Session, association_id: int, *, phones: Collection[int], since: date
) -> set[tuple[int, date]]:
    """Return (phone, day) pairs on which a service-started text has left."""
    return set(texts_left(session, association_id, phones=phones, since=since))


def keys_left(
    session: Session, association_id: int, kinds: Iterable[str], *, phones: Collection[int]
) -> set[str]:
    """Return the dedupe keys of the texts of these kinds that have left or may have left.

    Only those to these phones; a household's texts go to its phones, and none is ever taken away.
    """
    query = select(MessageRow.dedupe_key).where(
        MessageRow.association_id == association_id,
        MessageRow.kind.in_(list(kinds)),
        MessageRow.token.is_not(None),
        MessageRow.state.not_in(STILL_HERE),
    )
    return {
        base_key(key)
        for part in in_parts(phones)
        for key in session.scalars(query.where(MessageRow.phone_id.in_(part)))
    }


def queued_started(
    session: Session, association_id: int, *, phones: Collection[int]
) -> list[MessageRow]:
    """Return the service-started texts to these phones that wait in the queue, oldest first."""
    query = select(MessageRow).where(
        MessageRow.association_id == association_id,
        MessageRow.state == State.QUEUED,
        MessageRow.evening.is_not(None),
    )
    found = [
        row
        for part in in_parts(phones)
        for row in session.scalars(query.where(MessageRow.phone_id.in_(part)))
    ]
    return sorted(found, key=lambda row: row.id)


def links_of(session: Session, association_id: int, message_id: int) -> list[MessageDoseRow]:
    """Return the doses that a text tells of."""
    return list(
        session.scalars(
            select(MessageDoseRow)
            .where(
                MessageDoseRow.association_id == association_id,
                MessageDoseRow.message_id == message_id,
            )
            .order_by(MessageDoseRow.id)
        )
    )


def unknown_messages(session: Session, association_id: int) -> list[MessageRow]:
    """Return the texts of which nobody knows whether they were sent."""
    return list(
        session.scalars(
            select(MessageRow)
            .where(
                MessageRow.association_id == association_id,
                MessageRow.state == State.UNKNOWN,
            )
            .order_by(MessageRow.id)
        )
    )


def answers_since(
    session: Session,
    association_id: int,
    number: str,
    *,
    since: datetime,
    kinds: Iterable[str] | None = None,
) -> int:
    """Return how many answers (of `kinds`, or of any) were queued for a number since an instant."""
    query = select(func.count()).where(
        MessageRow.association_id == association_id,
        MessageRow.number == number,
        MessageRow.evening.is_(None),
        MessageRow.due_at >= since,
        MessageRow.state != State.CANCELLED,
    )
    if kinds is not None:
        query = query.where(MessageRow.kind.in_(list(kinds)))
    return session.execute(query).scalar_one()


def bodies_since(
    session: Session, association_id: int, number: str, *, since: datetime
) -> list[MessageRow]:
    """Return the texts that left for a number since an instant, with their bodies."""
    return list(
        session.scalars(
            select(MessageRow).where(
                MessageRow.association_id == association_id,
                MessageRow.number == number,
                MessageRow.body.is_not(None),
                MessageRow.changed_at >= since,
            )
        )
    )
