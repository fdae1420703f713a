"""One-time links, with which each member of staff chooses a password and a second factor.

Nobody sets a password for another.
"""

from dataclasses import dataclass
from datetime import datetime

from service.errors import RefusedError, ServiceError
from service.records.engine import Session
from service.records.staff import StaffLinkRow, StaffRow
from service.records.staff_links import add_link, end_links, link_of_hash, use_link
from service.records.staff_queries import add_codes, set_password, set_totp, staff_by_id
from service.records.staff_sessions import end_sessions
from service.records.tasks import audit
from service.sign_in.codes import matching_step, new_recovery_codes, recovery_hash
from service.sign_in.secrets import Vault, new_token, token_hash
from service.sign_in.spans import LINK_LIFE
from service.sign_in.staff import By, staff_entry

TOTP = "totp"


class LinkOverError(ServiceError):
    """A link was used, ended, or replaced by a newer one."""

    def __init__(self) -> None:
        super().__init__(
            "This link was used already or is too old; ask an administrator for a new one."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvedTotp:
    """A second factor, sealed, with the step of the code that showed that the app has it."""

    sealed: str
    step: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What was chosen by a link; no second factor where the person has one already."""

    password_hash: str
    totp: ProvedTotp | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """Who finished a link, and the recovery codes to show once; none if they had theirs before."""

    staff: StaffRow
    recovery_codes: tuple[str, ...]


def prove_totp(vault: Vault, secret: str, code: str, *, now: datetime) -> ProvedTotp | None:
    """Return a new second factor to be kept, or None where the code does not show it works."""
    step = matching_step(secret, code, last_step=None, now=now)
    return None if step is None else ProvedTotp(sealed=vault.seal(TOTP, secret), step=step)


def make_link(
    session: Session, association_id: int, staff_id: int, *, by: By, now: datetime
) -> str:
    """Return the token of a new link, which works once within 48 hours; earlier ones end.

    Raises:
        RefusedError: `removed`, where the person is no longer of the staff.
    """
    if staff_by_id(session, association_id, staff_id).removed_at is not None:
        raise RefusedError("removed", "This person was removed; add them under another name.")
    end_links(session, association_id, staff_id, now=now)
    token = new_token()
    link = StaffLinkRow(
        association_id=association_id,
        staff_id=staff_id,
        token_hash=token_hash(token),
        expires_at=now + LINK_LIFE,
        recorded_at=now,
    )
    add_link(session, link)
    audit(session, association_id, staff_entry("link", staff_id, by=by, now=now))
    return token


def take_link(session: Session, token: str, *, now: datetime) -> StaffRow | None:
    """Return whose link a token is, or None where there was never such a link; nothing changes.

    Raises:
        LinkOverError: it was used, or its time is over.
    """
    found = _working_link(session, token, now=now)
    return None if found is None else found[1]


def spend_link(session: Session, token: str, *, now: datetime) -> StaffRow | None:
    """Use a link up and return whose it was, or None where there was never such a link.

    Alone it is for the demo, where the link signs in at once.

    Raises:
        LinkOverError: it was used, or its time is over.
    """
    found = _working_link(session, token, now=now)
    if found is None:
        return None
    link, staff = found
    if not use_link(session, link.association_id, link.id, now=now):
        raise LinkOverError
    return staff


def finish_link(session: Session, token: str, chosen: Chosen, *, now: datetime) -> Finished | None:
    """Use a link up for a new password, and end every visit of that person.

    A second factor stays what it was: a link does not replace it.

    Raises:
        LinkOverError: it was used, or its time is over.
        RefusedError: `second-factor`, where the person has none and none was chosen.
    """
    staff = spend_link(session, token, now=now)
    if staff is None:
        return None
    tenant = staff.association_id
    set_password(session, tenant, staff.id, password_hash=chosen.password_hash)
    codes: tuple[str, ...] = ()
    if staff.totp_sealed is None:
        if chosen.totp is None:
            raise RefusedError("second-factor", "Add the second factor to your app first.")
        set_totp(session, tenant, staff.id, sealed=chosen.totp.sealed, step=chosen.totp.step)
        codes = new_recovery_codes()
        hashes = [code_hash for code in codes if (code_hash := recovery_hash(code))]
        add_codes(session, tenant, staff.id, hashes, now=now)
    end_sessions(session, tenant, staff.id, now=now)
    return Finished(staff=staff, recovery_codes=codes)


def _working_link(
    session: Session, token: str, *, now: datetime
) -> tuple[StaffLinkRow, StaffRow] | None:
    link = link_of_hash(session, token_hash(token))
    if link is None:
        return None
    staff = staff_by_id(session, link.association_id, link.staff_id)
    if link.used_at is not None or link.expires_at <= now or staff.removed_at is not None:
        raise LinkOverError
    return link, staff
