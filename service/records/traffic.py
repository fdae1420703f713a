"""Tables of what goes out, what comes in, and whom to call."""

from datetime import date, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index, String, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from service.messages.lifecycle import State
from service.records.base import Base


class RouteRow(Base):
    """A configured gateway of one association, with its token bucket.

    `prefixes` are the beginnings of the numbers that it serves, empty for all; `cost` is that of a
    segment, in whatever money the settings compare routes by. A route that the settings no longer
    name is `retired`.
    """

    __tablename__ = "route"
    __table_args__ = (UniqueConstraint("association_id", "name"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    name: Mapped[str] = mapped_column(String(32))
    adapter: Mapped[str] = mapped_column(String(32))
    sender: Mapped[str] = mapped_column(String(16))
    rate_per_s: Mapped[float]
    tokens: Mapped[float]
    tokens_at: Mapped[datetime]
    paused_until: Mapped[datetime | None]
    paused_for: Mapped[str | None] = mapped_column(String(80))
    prefixes: Mapped[list[str]] = mapped_column(JSON, server_default="[]")
    cost: Mapped[float] = mapped_column(server_default="0.0")
    daily_segments: Mapped[int | None]
    retired: Mapped[bool] = mapped_column(server_default="0")
    stopped_at: Mapped[datetime | None]
    stopped_by: Mapped[str | None] = mapped_column(String(60))
    refusals: Mapped[int] = mapped_column(server_default="0")  # one after another, up to now


class RouteDayRow(Base):
    """How many segments left by a route on a local day, or may have left."""

    __tablename__ = "route_day"
    __table_args__ = (UniqueConstraint("route_id", "day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    day: Mapped[date]
    segments: Mapped[int]


def _only(condition: str) -> dict[str, Any]:
    return {"sqlite_where": text(condition), "postgresql_where": text(condition)}


class MessageRow(Base):
    """One text: queue, record and proof in one row. Only `outbox` changes its state."""

    __tablename__ = "message"
    __table_args__ = (
        UniqueConstraint("association_id", "dedupe_key"),
        Index("ix_message_queued", "route_id", "due_at", "id", **_only("state = 'queued'")),
        Index("ix_message_expiring", "association_id", "expires_at", **_only("state = 'queued'")),
        Index("ix_message_unknown", "association_id", "id", **_only("state = 'unknown'")),
        Index("ix_message_phone_evening", "phone_id", "evening"),
        Index("ix_message_gateway_id", "route_id", "gateway_id", **_only("gateway_id IS NOT NULL")),
        # a text is rewritten twice within seconds: its new versions should lie beside the old
        {"postgresql_with": {"fillfactor": 50, "autovacuum_vacuum_scale_factor": 0.02}},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    phone_id: Mapped[int | None] = mapped_column(ForeignKey("phone.id"))
    number: Mapped[str] = mapped_column(String(16))
    kind: Mapped[str] = mapped_column(String(24))
    evening: Mapped[date | None]  # local day a service-started text counts on; None: an answer
    due_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    dedupe_key: Mapped[str] = mapped_column(String(200))
    language: Mapped[str] = mapped_column(String(12))
    fields: Mapped[dict[str, Any]]
    state: Mapped[State]
    token: Mapped[str | None] = mapped_column(String(40), unique=True)
    body: Mapped[str | None] = mapped_column(String(700))
    segments: Mapped[int | None]
    tries: Mapped[int]
    gateway_id: Mapped[str | None] = mapped_column(String(80))
    changed_at: Mapped[datetime]
    asks: Mapped[int] = mapped_column(server_default="0")  # how often the gateway was asked


class MessageDoseRow(Base):
    """Which doses a text tells of, at which revision and day."""

    __tablename__ = "message_dose"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    message_id: Mapped[int] = mapped_column(ForeignKey("message.id"), index=True)
    dose_id: Mapped[int] = mapped_column(ForeignKey("dose.id"), index=True)
    revision: Mapped[int]
    due_on: Mapped[date]


class MessageEventRow(Base):
    """One step in a message's life."""

    __tablename__ = "message_event"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    message_id: Mapped[int] = mapped_column(ForeignKey("message.id"), index=True)
    at: Mapped[datetime]
    event: Mapped[str] = mapped_column(String(24))
    state: Mapped[State]
    detail: Mapped[str] = mapped_column(String(80))


class ClaimRow(Base):
    """A lease on a batch: one row with the ids, deleted with the outcome."""

    __tablename__ = "claim"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    expires_at: Mapped[datetime] = mapped_column(index=True)
    messages: Mapped[dict[str, Any]]


class OrphanReceiptRow(Base):
    """A receipt for an id not known yet: kept for an hour, then filed."""

    __tablename__ = "orphan_receipt"
    __table_args__ = (UniqueConstraint("route_id", "event_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    event_id: Mapped[str] = mapped_column(String(120))
    gateway_id: Mapped[str] = mapped_column(String(80), index=True)
    state: Mapped[str] = mapped_column(String(16))
    at: Mapped[datetime]
    filed: Mapped[bool]


class InboundRow(Base):
    """A text that came in, kept as it came, with what it was read to mean."""

    __tablename__ = "inbound"
    __table_args__ = (UniqueConstraint("route_id", "event_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    event_id: Mapped[str] = mapped_column(String(120))
    phone_id: Mapped[int | None] = mapped_column(ForeignKey("phone.id"), index=True)
    sender: Mapped[str] = mapped_column(String(32), index=True)
    text: Mapped[str] = mapped_column(String(1000))  # of a menu: the code that says the same
    by_menu: Mapped[bool] = mapped_column(server_default="0")  # USSD
    received_at: Mapped[datetime]
    meaning: Mapped[str] = mapped_column(String(24))
    hint: Mapped[str] = mapped_column(String(40))
    to_read: Mapped[bool]
    pauses: Mapped[bool]  # holds a STOP word or a refusal: all texts wait until it is read
    plots: Mapped[str] = mapped_column(String(16))  # letters it names or may name
    read_at: Mapped[datetime | None]
    read_by: Mapped[str | None] = mapped_column(String(60))
    read_as: Mapped[str | None] = mapped_column(String(40))


class TaskKind(StrEnum):
    """Why a person should call or look."""

    SILENT = "silent"
    NOT_READY = "not-ready"
    NOT_TOLD = "not-told"
    UNKNOWN = "unknown"
    EMERGENCE = "emergence"
    BY_CALL = "by-call"  # no phone, nobody to read, or no consent: the call replaces the text
    NO_ROOM = "no-room"  # the digest was full
    UNREAD = "unread"
    AFTER_CUTOFF = "after-cutoff"
    EARLY_HARVEST = "early-harvest"
    SECOND_REPORT = "second-report"
    CORRECTED = "corrected"
    BURNT = "burnt"
    LOOP = "loop"
    STOPPED = "stopped"
    ENROL = "enrol"
    SHORT = "short"  # the cans will not last
    SITE = "site"  # the ground needs a decision before any dose
    HELD = "held"  # a text sent is no longer right, and it is night


class CallTaskRow(Base):
    """Something a person should do, opened once for its key."""

    __tablename__ = "call_task"
    __table_args__ = (UniqueConstraint("association_id", "key"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    household_id: Mapped[int | None] = mapped_column(ForeignKey("household.id"))
    phone_id: Mapped[int | None] = mapped_column(ForeignKey("phone.id"))
    dose_id: Mapped[int | None] = mapped_column(ForeignKey("dose.id"))
    planting_id: Mapped[int | None] = mapped_column(ForeignKey("planting.id"))
    inbound_id: Mapped[int | None] = mapped_column(ForeignKey("inbound.id"))
    kind: Mapped[TaskKind]
    key: Mapped[str] = mapped_column(String(80))
    opened_at: Mapped[datetime]
    closed_at: Mapped[datetime | None]
    closed_by: Mapped[str | None] = mapped_column(String(60))
    outcome: Mapped[str | None] = mapped_column(String(24))
    tries: Mapped[int] = mapped_column(default=0)  # calls that nobody answered
    rests_until: Mapped[date | None]  # the day of the next try


class PretendClockRow(Base):
    """The demo's time, moved only by `tick --at`. One row, and only in the demo."""

    __tablename__ = "pretend_clock"

    id: Mapped[int] = mapped_column(primary_key=True)
    now: Mapped[datetime]
