"""A route and its association while a claim is made; no other claim on it is made meanwhile."""

from datetime import date, datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import bindparam, select

from service.outbox.retry import tokens_now
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.traffic import RouteRow


class RouteTurn(NamedTuple):
    """What a claim has to know of a route; `zone` and `monthly_segments` are the association's."""

    rate_per_s: float
    tokens: float
    tokens_at: datetime
    paused_until: datetime | None
    stopped_at: datetime | None
    daily_segments: int | None
    zone: str
    monthly_segments: int | None

    def rests(self, now: datetime) -> bool:
        """Say whether nothing may leave now."""
        return self.stopped_at is not None or (self.paused_until or now) > now

    def texts_held(self, now: datetime) -> float:
        """Return how many texts the token bucket holds."""
        return tokens_now(self.tokens, self.tokens_at, now, self.rate_per_s)

    def day(self, now: datetime) -> date:
        """Return the local day on whose budget a send counts."""
        return now.astimezone(ZoneInfo(self.zone)).date()


_TURN = (
    select(
        RouteRow.rate_per_s,
        RouteRow.tokens,
        RouteRow.tokens_at,
        RouteRow.paused_until,
        RouteRow.stopped_at,
        RouteRow.daily_segments,
        AssociationRow.zone,
        AssociationRow.monthly_segments,
    )
    .join(AssociationRow, AssociationRow.id == RouteRow.association_id)
    .where(
        RouteRow.id == bindparam("route_id"),
        RouteRow.association_id == bindparam("association_id"),
    )
    .with_for_update(of=RouteRow)
)


def route_turn(session: Session, association_id: int, route_id: int) -> RouteTurn:
    """Return the route, once no other claim on it is being made.

    Raises:
        NoResultFound: the association has no such route.
    """
    values = {"association_id": association_id, "route_id": route_id}
    return RouteTurn._make(session.connection().execute(_TURN, values).one())
