"""Texts that came in: kept, and waiting for a person where they were not sure."""

from datetime import datetime

from sqlalchemy import func, select, update

from service.records.engine import Session
from service.records.once import insert_once
from service.records.traffic import CallTaskRow, InboundRow, MessageRow, TaskKind


def keep_inbound(session: Session, values: dict[str, object]) -> int | None:
    """Keep a text that came in and return its id, or None where it was kept before."""
    return insert_once(session, InboundRow, values)


def inbound(session: Session, association_id: int, inbound_id: int) -> InboundRow:
    """Return one text that came in."""
    return session.scalars(
        select(InboundRow).where(
            InboundRow.association_id == association_id, InboundRow.id == inbound_id
        )
    ).one()


def reading_list(session: Session, association_id: int) -> list[InboundRow]:
    """Return the texts that wait to be read, oldest first."""
    return list(
        session.scalars(
            select(InboundRow)
            .where(
                InboundRow.association_id == association_id,
                InboundRow.to_read,
                InboundRow.read_at.is_(None),
            )
            .order_by(InboundRow.received_at, InboundRow.id)
        )
    )


def text_for_reading(session: Session, association_id: int, inbound_id: int) -> InboundRow:
    """Return a text that a person must read or has read; nobody else settles it meanwhile."""
    return session.scalars(
        select(InboundRow)
        .where(
            InboundRow.association_id == association_id,
            InboundRow.id == inbound_id,
            InboundRow.to_read,
        )
        .with_for_update()
    ).one()


def mark_read(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    inbound_id: int,
    *,
    who: str,
    now: datetime,
    read_as: str | None = None,
) -> None:
    """Write down that a person has read a text, and as what."""
    session.execute(
        update(InboundRow)
        .where(InboundRow.association_id == association_id, InboundRow.id == inbound_id)
        .values(read_at=now, read_by=who, read_as=read_as)
    )


def answers_to(session: Session, association_id: int, inbound_id: int) -> int:
    """Return how many answers to a text were ever queued, cancelled ones too."""
    return session.execute(
        select(func.count()).where(
            MessageRow.association_id == association_id,
            MessageRow.dedupe_key.startswith(f"answer:{inbound_id}:", autoescape=True),
        )
    ).scalar_one()


def wish_to_join(session: Session, association_id: int, sender: str) -> int | None:
    """Return the id of the open task to enrol a number, or None where there is none."""
    return session.scalars(
        select(CallTaskRow.id)
        .join(InboundRow, InboundRow.id == CallTaskRow.inbound_id)
        .where(
            CallTaskRow.association_id == association_id,
            CallTaskRow.kind == TaskKind.ENROL,
            CallTaskRow.closed_at.is_(None),
            InboundRow.sender == sender,
        )
        .order_by(CallTaskRow.id)
    ).first()


def texts_since(
    session: Session, association_id: int, sender: str, *, since: datetime, text: str | None = None
) -> int:
    """Return how many texts (or how many equal ones) a number has sent since an instant.

    What came by menu does not count: a machine does not walk through one.
    """
    query = select(func.count()).where(
        InboundRow.association_id == association_id,
        InboundRow.sender == sender,
        InboundRow.received_at >= since,
        InboundRow.by_menu.is_(False),
    )
    if text is not None:
        query = query.where(InboundRow.text == text)
    return session.execute(query).scalar_one()


def same_meaning_since(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    phone_id: int,
    *,
    meaning: str,
    hint: str,
    since: datetime,
    before_id: int,
) -> bool:
    """Say whether this phone has told exactly this since an instant (hint holds the items)."""
    found = session.execute(
        select(InboundRow.id).where(
            InboundRow.association_id == association_id,
            InboundRow.phone_id == phone_id,
            InboundRow.meaning == meaning,
            InboundRow.hint == hint,
            InboundRow.received_at >= since,
            InboundRow.id < before_id,
        )
    ).first()
    return found is not None
