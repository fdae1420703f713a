"""Staff of a test's association, signed in."""

from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache

from argon2 import PasswordHasher
from flask import Flask
from flask.testing import FlaskClient
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from typing_extensions import override

from service.records.staff import Role, StaffRow
from service.sign_in.passwords import Passwords
from service.sign_in.staff import By, NewStaff, add_staff
from service.sign_in.visits import open_visit
from service.web.app import create_app
from service.web.sign_in import TOKEN
from service.web.tongue import Tongue, load_tongues
from tests.fresh import TEXTS
from tests.world import START, World

SECRET_KEY = "a key of the tests, long enough for all"  # noqa: S105 -- opens nothing but a test


@dataclass(kw_only=True)
class Wall:
    """The true time, which tests move; sign-ins follow it, farm days do not."""

    now: datetime = START

    def clock(self) -> datetime:
        """Return the true time."""
        return self.now


@dataclass(kw_only=True)
class Compiled(BytecodeCache):
    """Templates compiled once a run, not once an app."""

    known: dict[str, bytes] = field(default_factory=dict)

    @override
    def load_bytecode(self, bucket: Bucket) -> None:
        """Give a template that was compiled before; a bucket knows whether it is of this source."""
        if bucket.key in self.known:
            bucket.bytecode_from_string(self.known[bucket.key])

    @override
    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep a template."""
        self.known[bucket.key] = bucket.bytecode_to_string()


NEEMA = NewStaff(name="neema", shown="Neema Test", role=Role.COORDINATOR, language="en")
BY = By(who="test", origin="test")
COMPILED = Compiled()


@cache
def cheap_passwords() -> Passwords:
    """Return what hashes with the least work; each app would reckon a hash of its own to begin."""
    return Passwords(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))


@cache
def shipped_tongues() -> dict[str, Tongue]:
    """Return the languages of the pages that are shipped, loaded once a run."""
    return load_tongues(TEXTS)


def office_of(world: World, wall: Wall) -> Flask:
    """Return the pages over a world; its route serves the association `test` or the only one."""
    services = world.services
    settings = replace(services.settings, secret_key=SECRET_KEY)
    app = create_app(
        replace(services, settings=settings),
        wall=wall.clock,
        passwords=cheap_passwords(),
        tongues=shipped_tongues(),
    )
    app.jinja_env.bytecode_cache = COMPILED
    return app


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
