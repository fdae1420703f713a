"""What a route may send on a day, in segments, and what it has."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import func, select, update

from service.outbox.route_turn import RouteTurn
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.traffic import MessageRow, RouteDayRow, RouteRow


def budget_day(session: Session, association_id: int, *, now: datetime) -> date:
    """Return the local day on whose budget a send counts."""
    return now.astimezone(ZoneInfo(session.get_one(AssociationRow, association_id).zone)).date()


def segments_left(session: Session, route: RouteRow, day: date) -> int | None:
    """Return how many segments a route may still send on a day, None for any number."""
    return _left_of_day(session, route.id, route.daily_segments, day)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How many segments may still leave: by the route on this day, of all routes in this month."""

    of_day: int | None
    of_month: int | None


def room_of(
    session: Session, association_id: int, route_id: int, route: RouteTurn, day: date
) -> Room:
    """Return the room that a route and its association still have; only a limit is looked at."""
    return Room(
        of_day=_left_of_day(session, route_id, route.daily_segments, day),
        of_month=_left_of_month(session, association_id, route.monthly_segments, day),
    )


def _left_of_day(session: Session, route_id: int, most: int | None, day: date) -> int | None:
    if most is None:
        return None
    spent = session.scalars(
        select(RouteDayRow.segments).where(RouteDayRow.route_id == route_id, RouteDayRow.day == day)
    ).one_or_none()
    return max(0, most - (spent or 0))


def month_left(session: Session, association_id: int, day: date) -> int | None:
    """Return how many segments the association may still pay for in a day's month."""
    ceiling = session.get_one(AssociationRow, association_id).monthly_segments
    return _left_of_month(session, association_id, ceiling, day)


def _left_of_month(
    session: Session, association_id: int, most: int | None, day: date
) -> int | None:
    return None if most is None else max(0, most - month_spent(session, association_id, day))


def month_spent(session: Session, association_id: int, day: date) -> int:
    """Return how many segments have left, or may have, from the first of a day's month to it."""
    spent = session.scalars(
        select(func.sum(RouteDayRow.segments)).where(
            RouteDayRow.association_id == association_id,
            RouteDayRow.day >= day.replace(day=1),
            RouteDayRow.day <= day,
        )
    ).one()
    return int(spent or 0)


def give_back(session: Session, message: MessageRow, *, now: datetime) -> None:
    """Take a claimed text that certainly did not leave off its route's day.

    One that was claimed before midnight stays on the day before: the budget is never overdrawn.
    """
    day = budget_day(session, message.association_id, now=now)
    session.execute(
        update(RouteDayRow)
        .where(
            RouteDayRow.route_id == message.route_id,
            RouteDayRow.day == day,
            RouteDayRow.segments >= (message.segments or 1),
        )
        .values(segments=RouteDayRow.segments - (message.segments or 1))
    )


def spent_today(session: Session, association_id: int, day: date) -> Mapping[int, int]:
    """Return how many segments left on a day, by route."""
    rows = session.execute(
        select(RouteDayRow.route_id, RouteDayRow.segments).where(
            RouteDayRow.association_id == association_id, RouteDayRow.day == day
        )
    )
    return {row.route_id: row.segments for row in rows}
