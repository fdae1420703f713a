"""The demo's way in: an invented coordinator, a one-time link, and a second factor to try."""

import json
import secrets
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from service.bootstrap import Services
from service.records.engine import Session
from service.records.plantings import associations
from service.records.staff import Role
from service.records.staff_queries import staff_named
from service.sign_in.codes import new_totp_secret
from service.sign_in.links import TOTP, Chosen, ProvedTotp, finish_link, make_link
from service.sign_in.passwords import Passwords
from service.sign_in.secrets import Vault
from service.sign_in.staff import By, NewStaff, add_staff

NAME, SHOWN = "tatu", "Tatu"
BY = By(who="demo", origin="demo")


@dataclass(frozen=True, slots=True, kw_only=True)
class WayIn:
    """How to sign in to the demo. The password and the secret stay the same until a reset."""

    name: str
    password: str
    totp_secret: str


def way_in(services: Services, file: Path) -> WayIn:
    """Return how to sign in by hand; made, and kept in `file`, the first time."""
    if file.exists():
        return WayIn(**json.loads(file.read_text(encoding="utf-8")))
    made = WayIn(name=NAME, password=secrets.token_urlsafe(12), totp_secret=new_totp_secret())
    vault = Vault(services.settings.needed_secret_key().encode())
    with Passwords().place() as hasher:
        hashed = hasher.hash(made.password)
    totp = ProvedTotp(sealed=vault.seal(TOTP, made.totp_secret), step=0)
    now = services.clock()
    with services.sessions.begin() as session:
        staff_id = _staff(session, now=now)
        token = make_link(session, _tenant(session), staff_id, by=BY, now=now)
        finish_link(session, token, Chosen(password_hash=hashed, totp=totp), now=now)
    file.touch(mode=0o600)
    file.write_text(json.dumps(asdict(made)), encoding="utf-8")
    return made


def one_time_path(services: Services, *, now: datetime) -> str:
    """Return the path of a new link that signs the demo's coordinator in at once."""
    with services.sessions.begin() as session:
        token = make_link(session, _tenant(session), _staff(session, now=now), by=BY, now=now)
    return f"/first-visit/{token}"


def _staff(session: Session, *, now: datetime) -> int:
    standing = staff_named(session, NAME)
    if standing is not None:
        return standing.id
    new = NewStaff(name=NAME, shown=SHOWN, role=Role.COORDINATOR, language="en")
    return add_staff(session, _tenant(session), new, by=BY, now=now)


def _tenant(session: Session) -> int:
    return associations(session)[0].id
