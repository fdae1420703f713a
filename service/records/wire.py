"""Tables of what travels in pieces: the parts of long texts, out and in."""

from datetime import datetime

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.messages.lifecycle import State
from service.records.base import Base


class MessagePartRow(Base):
    """A part of a long text that the gateway took, under an id of its own."""

    __tablename__ = "message_part"
    __table_args__ = (
        UniqueConstraint("message_id", "number"),
        Index("ix_message_part_gateway_id", "route_id", "gateway_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    message_id: Mapped[int] = mapped_column(ForeignKey("message.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    number: Mapped[int]  # from 1 on
    gateway_id: Mapped[str] = mapped_column(String(80))
    state: Mapped[State]


class InboundPartRow(Base):
    """A piece of a long text from a phone, kept until the others are there, or for a day."""

    __tablename__ = "inbound_part"
    __table_args__ = (
        UniqueConstraint("route_id", "event_id"),
        Index("ix_inbound_part_waiting", "route_id", "sender", "reference"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    event_id: Mapped[str] = mapped_column(String(120))
    sender: Mapped[str] = mapped_column(String(32))
    to: Mapped[str] = mapped_column(String(32))
    reference: Mapped[int]
    number: Mapped[int]
    total: Mapped[int]
    text: Mapped[str] = mapped_column(String(200))
    lossy: Mapped[bool]
    received_at: Mapped[datetime]
    joined: Mapped[bool]
