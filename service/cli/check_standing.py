"""The routes as the records have them: stopped, resting, spent, or serving nobody known."""

from datetime import datetime
from zoneinfo import ZoneInfo

from service.cli.check_finding import Asked, Finding, wrong
from service.cli.check_zones import knows_zone
from service.errors import SettingsError
from service.opening import association_of
from service.outbox.budget import budget_day, segments_left
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.plantings import associations
from service.records.routes import routes
from service.records.traffic import RouteRow
from service.web.route_words import rest_words


def standing_findings(asked: Asked) -> list[Finding]:
    """Return each route that sends nothing now, with what would let it."""
    now = asked.clock()
    with asked.sessions.read() as session:
        rows = associations(session)
        return [
            *_unserved(asked, rows),
            *(
                each
                for row in rows
                if knows_zone(row.zone)
                for each in _of_one(session, row, now=now)
            ),
        ]


def _unserved(asked: Asked, rows: list[AssociationRow]) -> list[Finding]:
    found: list[Finding] = []
    for route in asked.settings.routes:
        try:
            association_of(rows, route)
        except SettingsError as error:
            found.append(wrong(f"Route {route.name}: {error.sentence}"))
    return found


def _of_one(session: Session, row: AssociationRow, *, now: datetime) -> list[Finding]:
    day = budget_day(session, row.id, now=now)
    zone = ZoneInfo(row.zone)
    found: list[Finding] = []
    for route in routes(session, row.id):
        left = segments_left(session, route, day)
        hindrance = None if route.retired else _hindrance(route, left, zone, now=now)
        if hindrance is not None:
            found.append(wrong(f"{row.name}: route {route.name} {hindrance}"))
    return found


def _hindrance(route: RouteRow, left: int | None, zone: ZoneInfo, *, now: datetime) -> str | None:
    if route.stopped_at is not None:
        return (
            f"was stopped {_moment(route.stopped_at, zone)}. Once it may send, let it go on, on"
            " the page Routes."
        )
    if left == 0:
        return (
            "has sent all that it may today. Raise its daily_segments in the settings, or let the"
            " rest wait."
        )
    if route.paused_until is not None and route.paused_until > now:
        said = rest_words(route.paused_for)
        return (
            f"rests until {_moment(route.paused_until, zone)}: {said.text % said.values}. It goes"
            " on by itself; if it rests again and again, ask the gateway's operator."
        )
    return None


def _moment(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M} ({zone.key})"
