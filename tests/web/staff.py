"""Staff of a test's association, signed in."""

from dataclasses import dataclass, replace
from datetime import datetime

from flask import Flask
from flask.testing import FlaskClient

from service.records.staff import Role, StaffRow
from service.sign_in.staff import By, NewStaff, add_staff
from service.sign_in.visits import open_visit
from service.web.app import create_app
from service.web.sign_in import TOKEN
from tests.world import START, World

SECRET_KEY = "a key of the tests, long enough for all"  # noqa: S105 -- opens nothing but a test


@dataclass(kw_only=True)
class Wall:
    """The true time, which tests move; sign-ins follow it, farm days do not."""

    now: datetime = START

    def clock(self) -> datetime:
        """Return the true time."""
        return self.now


NEEMA = NewStaff(name="neema", shown="Neema Test", role=Role.COORDINATOR, language="en")
BY = By(who="test", origin="test")


def office_of(world: World, wall: Wall) -> Flask:
    """Return the pages over a world; its route serves the association `test` or the only one."""
    services = world.services
    settings = replace(services.settings, secret_key=SECRET_KEY)
    return create_app(replace(services, settings=settings), wall=wall.clock)


def visit_token(
    world: World, new: NewStaff = NEEMA, *, association_id: int = 1, now: datetime = START
) -> str:
    """Add a member of staff and return the token of a visit of theirs."""
    with world.services.sessions.begin() as session:
        staff_id = add_staff(session, association_id, new, by=BY, now=now)
        staff = session.get_one(StaffRow, staff_id)
        return open_visit(session, staff, now=now)


def browser_of(app: Flask, token: str) -> FlaskClient:
    """Return a client that carries a visit's token."""
    client = app.test_client()
    with client.session_transaction() as cookie:
        cookie[TOKEN] = token
    return client
