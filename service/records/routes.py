"""Routes: the configured gateways, each of one association."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from service.records.engine import Session
from service.records.traffic import RouteRow


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteFacts:
    """What the settings say of a route."""

    name: str
    adapter: str
    sender: str
    rate_per_s: float


def ensure_route(
    session: Session, association_id: int, facts: RouteFacts, *, now: datetime
) -> RouteRow:
    """Return the association's route of this name, made or brought in line with the settings."""
    row = session.scalars(
        select(RouteRow).where(
            RouteRow.association_id == association_id, RouteRow.name == facts.name
        )
    ).one_or_none()
    if row is None:
        row = RouteRow(
            association_id=association_id,
            name=facts.name,
            tokens=max(facts.rate_per_s, 1.0),
            tokens_at=now,
            paused_until=None,
            paused_for=None,
        )
        session.add(row)
    row.adapter, row.sender, row.rate_per_s = facts.adapter, facts.sender, facts.rate_per_s
    session.flush()
    return row
