"""Routes for tests: a second fake gateway, an administrator, and segments that were spent."""

from dataclasses import replace
from datetime import date

from flask.testing import FlaskClient

from gateway_adapters.fake import FakeGateway
from service.records.people import AssociationRow
from service.records.routes import routes
from service.records.staff import Role
from service.records.traffic import RouteRow
from service.sign_in.staff import NewStaff
from tests.unit.outbox.queue import spend
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import World

JUMA = NewStaff(name="juma", shown="Juma Test", role=Role.ADMIN, language="en")


def administrator(
    world: World, *, language: str = "en", association_id: int = 1, name: str = "juma"
) -> FlaskClient:
    """Return the browser of Juma Test, administrator of an association."""
    new = replace(JUMA, language=language, name=name)
    token = visit_token(world, new, association_id=association_id)
    return browser_of(office_of(world, Wall()), token)


def second_route(world: World, name: str = "spare", **facts: object) -> FakeGateway:
    """Give the world a route beside its first, with phones of its own; it is known at once."""
    gateway = FakeGateway(clock=world.clock, folder=world.folder / name)
    services = world.services
    usual = {"name": name, "sender": "15051"}
    route = replace(services.settings.route, **{**usual, **facts})  # type: ignore[arg-type]  # -- each test gives the field's own type
    settings = replace(services.settings, routes=(*services.settings.routes, route))
    gateways = {world.services.settings.route.name: world.gateway, **services.gateways}
    world.services = replace(services, settings=settings, gateways={**gateways, name: gateway})
    world.services.lanes()
    return gateway


def route_rows(world: World, association_id: int = 1) -> dict[str, RouteRow]:
    """Return the routes of an association by their names."""
    with world.services.sessions.read() as session:
        return {row.name: row for row in routes(session, association_id)}


def set_route(world: World, route_id: int = 1, /, **columns: object) -> None:
    """Change what is written down of a route."""
    with world.services.sessions.begin() as session:
        row = session.get_one(RouteRow, route_id)
        for name, value in columns.items():
            setattr(row, name, value)


def spent(world: World, segments: int, on: date, *, route_id: int = 1) -> None:
    """Count segments as sent by a route on a day."""
    with world.services.sessions.begin() as session:
        spend(session, 1, route_id, segments, on)


def ceiling_of(world: World, association_id: int = 1) -> int | None:
    """Return the month's ceiling of an association."""
    with world.services.sessions.read() as session:
        return session.get_one(AssociationRow, association_id).monthly_segments


def with_ceiling(world: World, segments: int | None) -> None:
    """Set the month's ceiling of association 1 past the page."""
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).monthly_segments = segments
