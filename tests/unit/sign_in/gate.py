"""Staff who come and go, for the tests of signing in. The time is moved by the tests."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from argon2 import PasswordHasher
from pyotp import TOTP
from typing_extensions import override

from service.records.engine import Sessions
from service.records.staff import Role, StaffRow
from service.records.staff_queries import staff_by_id
from service.sign_in.codes import new_totp_secret
from service.sign_in.entry import Attempt, Entrance, check_code, check_password
from service.sign_in.links import Chosen, Finished, finish_link, make_link, prove_totp
from service.sign_in.staff import By, NewStaff, add_staff

KEY = b"a secret key of the tests, made up"
BY = By(who="test", origin="test")
PASSWORD = "plum ladder seven teapots"  # noqa: S105 -- made up for the tests
HOME, AWAY = "192.0.2.1", "192.0.2.2"  # addresses for documents (RFC 5737)
START = datetime(2027, 3, 1, 6, 0, tzinfo=UTC)


class CountingHasher(PasswordHasher):
    """An argon2id of almost no work, which counts its checks."""

    def __init__(self) -> None:
        super().__init__(time_cost=1, memory_cost=8, parallelism=1)
        self.checks = 0

    @override
    def verify(self, hash: str | bytes, password: str | bytes) -> bool:  # type: ignore[override]  # -- theirs says Literal[True], which only their own return can prove
        self.checks += 1
        return super().verify(hash, password)


@dataclass(frozen=True, kw_only=True)
class Member:
    """A member of staff who has finished a link, with what only that person knows."""

    id: int
    name: str
    secret: str
    recovery_codes: tuple[str, ...]


@dataclass(kw_only=True)
class Gate:
    """The way in, its time, and the people who use it."""

    entrance: Entrance
    now: datetime = field(default=START)

    @property
    def sessions(self) -> Sessions:
        """The database."""
        return self.entrance.sessions

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.now += timedelta(seconds=seconds)

    def added(self, name: str = "asha.m", *, tenant: int = 1, role: Role = Role.COORDINATOR) -> int:
        """Add a person without a password and return the id."""
        new = NewStaff(name=name, shown=name.title(), role=role, language="en")
        with self.sessions.begin() as session:
            return add_staff(session, tenant, new, by=BY, now=self.now)

    def link(self, staff_id: int, *, tenant: int = 1) -> str:
        """Make a link and return its token."""
        with self.sessions.begin() as session:
            return make_link(session, tenant, staff_id, by=BY, now=self.now)

    def finished(self, token: str, secret: str | None, *, password: str = PASSWORD) -> Finished:
        """Choose a password by a link, and a second factor where a secret is given."""
        with self.entrance.passwords.place() as hasher:
            password_hash = hasher.hash(password)
        totp = None
        if secret is not None:
            totp = prove_totp(self.entrance.vault, secret, self.code(secret), now=self.now)
        with self.sessions.begin() as session:
            done = finish_link(
                session, token, Chosen(password_hash=password_hash, totp=totp), now=self.now
            )
        assert done is not None
        return done

    def member(self, name: str = "asha.m", *, role: Role = Role.COORDINATOR) -> Member:
        """Add a person who has chosen the tests' password a minute ago."""
        staff_id, secret = self.added(name, role=role), new_totp_secret()
        done = self.finished(self.link(staff_id), secret)
        self.wait(60)
        return Member(id=staff_id, name=name, secret=secret, recovery_codes=done.recovery_codes)

    def code(self, secret: str) -> str:
        """Return what the app shows now."""
        return TOTP(secret).at(self.now)

    def knock(self, name: str, password: str = PASSWORD, *, address: str = HOME) -> str:
        """Do the password step and return the token for the next."""
        attempt = Attempt(name=name, password=password, address=address)
        return check_password(self.entrance, attempt, now=self.now)

    def enter(self, token: str, code: str) -> StaffRow:
        """Do the second step."""
        return check_code(self.entrance, token, code, now=self.now)

    def row(self, staff_id: int, *, tenant: int = 1) -> StaffRow:
        """Return a person as the database has them."""
        with self.sessions.read() as session:
            return staff_by_id(session, tenant, staff_id)
