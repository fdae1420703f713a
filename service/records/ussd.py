"""USSD sessions: where each stands in the menu, and what its phone was shown at each step."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index, String, UniqueConstraint, delete, select
from sqlalchemy.orm import Mapped, mapped_column

from service.records.base import Base
from service.records.engine import Session
from service.records.once import insert_once


class UssdSessionRow(Base):
    """One dialling of the menu.

    `shown` holds a row for each step in order: the event's id, the text of the screen, and whether
    it finished. Until `expires_at` a dropped session can be gone on with.
    """

    __tablename__ = "ussd_session"
    __table_args__ = (
        UniqueConstraint("route_id", "session"),
        Index("ix_ussd_session_number", "route_id", "number"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    route_id: Mapped[int] = mapped_column(ForeignKey("route.id"))
    session: Mapped[str] = mapped_column(String(80))
    number: Mapped[str] = mapped_column(String(32))
    state: Mapped[dict[str, Any]]
    shown: Mapped[list[list[Any]]] = mapped_column(JSON)
    finished: Mapped[bool]
    expires_at: Mapped[datetime]


def add_ussd_session(session: Session, association_id: int, values: Mapping[str, object]) -> None:
    """Keep a new session, unless it is kept already."""
    insert_once(session, UssdSessionRow, {**values, "association_id": association_id})


def ussd_session(
    session: Session, association_id: int, route_id: int, key: str
) -> UssdSessionRow | None:
    """Return a session; nobody else takes a step in it meanwhile."""
    return session.scalars(
        select(UssdSessionRow)
        .where(
            UssdSessionRow.association_id == association_id,
            UssdSessionRow.route_id == route_id,
            UssdSessionRow.session == key,
        )
        .with_for_update()
    ).one_or_none()


def dropped_ussd_session(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    route_id: int,
    number: str,
    *,
    now: datetime,
    but: str,
) -> UssdSessionRow | None:
    """Return a phone's newest session that was not finished and can be gone on with, if any.

    `but` is the key of the session that asks.
    """
    return session.scalars(
        select(UssdSessionRow)
        .where(
            UssdSessionRow.association_id == association_id,
            UssdSessionRow.route_id == route_id,
            UssdSessionRow.number == number,
            UssdSessionRow.session != but,
            UssdSessionRow.finished.is_(False),
            UssdSessionRow.expires_at > now,
        )
        .order_by(UssdSessionRow.expires_at.desc(), UssdSessionRow.id.desc())
        .with_for_update()
    ).first()


def forget_ussd_sessions(
    session: Session, association_id: int, route_id: int, *, before: datetime
) -> None:
    """Delete the sessions of a route that had expired before an instant."""
    session.execute(
        delete(UssdSessionRow).where(
            UssdSessionRow.association_id == association_id,
            UssdSessionRow.route_id == route_id,
            UssdSessionRow.expires_at < before,
        )
    )
