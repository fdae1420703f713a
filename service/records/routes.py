"""Routes: the configured gateways, each of one association."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from service.records.engine import Session
from service.records.once import insert_once
from service.records.traffic import RouteRow


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteFacts:
    """What the settings say of a route."""

    name: str
    adapter: str
    sender: str
    rate_per_s: float
    prefixes: tuple[str, ...] = ()
    cost: float = 0.0
    daily_segments: int | None = None


def ensure_route(
    session: Session, association_id: int, facts: RouteFacts, *, now: datetime
) -> RouteRow:
    """Return the association's route of this name, made or brought in line with the settings."""
    wanted = select(RouteRow).where(
        RouteRow.association_id == association_id, RouteRow.name == facts.name
    )
    row = session.scalars(wanted).one_or_none()
    if row is None:
        new = {
            "association_id": association_id,
            "name": facts.name,
            "adapter": facts.adapter,
            "sender": facts.sender,
            "rate_per_s": facts.rate_per_s,
            "tokens": max(facts.rate_per_s, 1.0),
            "tokens_at": now,
        }
        insert_once(session, RouteRow, new)  # two processes may come upon a new route at once
        row = session.scalars(wanted).one()
    row.adapter, row.sender, row.rate_per_s = facts.adapter, facts.sender, facts.rate_per_s
    row.prefixes, row.cost = list(facts.prefixes), facts.cost
    row.daily_segments, row.retired = facts.daily_segments, False
    session.flush()
    return row


def retire_others(session: Session, association_id: int, names: Collection[str]) -> None:
    """Mark the association's routes that the settings no longer name."""
    for row in routes(session, association_id):
        if row.name not in names:
            row.retired = True
    session.flush()


def routes(session: Session, association_id: int) -> list[RouteRow]:
    """Return every route of an association, oldest first."""
    return list(
        session.scalars(
            select(RouteRow).where(RouteRow.association_id == association_id).order_by(RouteRow.id)
        )
    )


def switch_route(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session, association_id: int, route_id: int, *, stop: bool, who: str, now: datetime
) -> bool:
    """Stop a route, or let it go on; say whether that changed anything.

    Raises:
        NoResultFound: the association has no such route.
    """
    row = session.scalars(
        select(RouteRow)
        .where(RouteRow.association_id == association_id, RouteRow.id == route_id)
        .with_for_update()
    ).one()
    if (row.stopped_at is not None) is stop:
        return False
    row.stopped_at, row.stopped_by = (now, who) if stop else (None, None)
    session.flush()
    return True
