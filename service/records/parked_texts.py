"""Texts that came in while the clock was in doubt: kept as they came, and read once it is not."""

from datetime import datetime

from sqlalchemy import ForeignKey, String, UniqueConstraint, select
from sqlalchemy.orm import Mapped, mapped_column

from gateway_adapters.events import Inbound
from service.records.base import Base
from service.records.engine import Session
from service.records.once import insert_once

_EVENT, _SENDER, _TEXT = 120, 32, 2000  # ten pieces, the most that are joined, are shorter


class ParkedTextRow(Base):
    """One whole text from a phone, not yet read."""

    __tablename__ = "parked_text"
    __table_args__ = (UniqueConstraint("route_id", "event_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    event_id: Mapped[str] = mapped_column(String(_EVENT))
    sender: Mapped[str] = mapped_column(String(_SENDER))
    to: Mapped[str] = mapped_column(String(_SENDER))
    text: Mapped[str] = mapped_column(String(_TEXT))
    lossy: Mapped[bool]
    received_at: Mapped[datetime]


def park_text(session: Session, association_id: int, route_id: int, event: Inbound) -> None:
    """Keep a text unread; the same one again changes nothing."""
    insert_once(
        session,
        ParkedTextRow,
        {
            "association_id": association_id,
            "route_id": route_id,
            "event_id": event.event_id,
            "sender": event.sender[:_SENDER],
            "to": event.to[:_SENDER],
            "text": event.text[:_TEXT],
            "lossy": event.lossy,
            "received_at": event.received_at,
        },
    )


def take_parked(session: Session, association_id: int, route_id: int) -> list[Inbound]:
    """Return a route's parked texts in the order they came, and keep them no longer."""
    found = session.scalars(
        select(ParkedTextRow)
        .where(ParkedTextRow.association_id == association_id, ParkedTextRow.route_id == route_id)
        .order_by(ParkedTextRow.id)
        .with_for_update(skip_locked=True)
    ).all()
    for row in found:
        session.delete(row)
    return [
        Inbound(
            event_id=row.event_id,
            sender=row.sender,
            to=row.to,
            text=row.text,
            received_at=row.received_at,
            lossy=row.lossy,
        )
        for row in found
    ]
