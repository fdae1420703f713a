"""Members of staff: adding and removing them."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import datetime

from service.errors import RefusedError
from service.records.engine import Session
from service.records.people import AuditRow
from service.records.staff import Role
from service.records.staff_links import end_links
from service.records.staff_queries import (
    StaffFacts,
    add_staff_row,
    lock_admins,
    remove_staff_row,
    staff_by_id,
)
from service.records.staff_sessions import end_sessions
from service.records.tasks import audit

LEAST_NAME, MOST_NAME, MOST_SHOWN = 2, 40, 60  # characters
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})?")
_JOINERS = "\u200c\u200d"  # invisible, but some scripts are written with them
_IN_NAMES = frozenset("0123456789.-_")


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who does something to the staff, and from where, for the audit."""

    who: str
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NewStaff:
    """A member of staff to be added: `name` is typed at sign-in, `shown` is what others see."""

    name: str
    shown: str
    role: Role
    language: str


def folded_name(typed: str) -> str:
    """Return a sign-in name as it is kept, however it was typed."""
    composed = unicodedata.normalize("NFKC", typed).strip().casefold()
    return unicodedata.normalize("NFKC", composed)


def may_be_name(folded: str) -> bool:
    """Say whether anybody could have this sign-in name."""
    return (
        LEAST_NAME <= len(folded) <= MOST_NAME
        and folded[0].isalnum()
        and all(map(_may_stand_in_name, folded))
    )


def staff_entry(what: str, staff_id: int, *, by: By, now: datetime) -> AuditRow:
    """Return the audit row of something done to a member of staff."""
    return AuditRow(
        at=now,
        who=by.who,
        what=what,
        subject="staff",
        subject_id=staff_id,
        origin=by.origin,
        detail={},
    )


def add_staff(
    session: Session, association_id: int, new: NewStaff, *, by: By, now: datetime
) -> int:
    """Add a member of staff, who has no password yet, and return the id.

    Raises:
        RefusedError: `name`, `shown` or `language`, where it cannot be used.
    """
    facts = StaffFacts(
        name=_checked_name(new.name),
        shown=_checked_shown(new.shown),
        role=new.role,
        language=_checked_language(new.language),
    )
    staff_id = add_staff_row(session, association_id, facts, now=now)
    if staff_id is None:
        raise RefusedError("name", "This sign-in name is taken; choose another.")
    entry = staff_entry("added", staff_id, by=by, now=now)
    entry.detail = {"role": new.role.value}
    audit(session, association_id, entry)
    return staff_id


def remove_staff(
    session: Session, association_id: int, staff_id: int, *, by: By, now: datetime
) -> None:
    """Remove a member of staff: their visits and links end, and nothing lets them in again.

    Raises:
        RefusedError: `last-admin`, where nobody could look after the staff any more.
    """
    if lock_admins(session, association_id) == [staff_id]:
        raise RefusedError("last-admin", "This is the last administrator; make another one before.")
    if staff_by_id(session, association_id, staff_id).removed_at is not None:
        return
    remove_staff_row(session, association_id, staff_id, now=now)
    end_links(session, association_id, staff_id, now=now)
    end_sessions(session, association_id, staff_id, now=now)
    audit(session, association_id, staff_entry("removed", staff_id, by=by, now=now))


def _checked_name(typed: str) -> str:
    name = folded_name(typed)
    if not may_be_name(name):
        raise RefusedError(
            "name",
            f"A sign-in name has {LEAST_NAME} to {MOST_NAME} letters, digits, points, hyphens or "
            "underscores, such as asha.m; it begins with a letter or a digit.",
        )
    return name


def _may_stand_in_name(character: str) -> bool:
    # vowel signs are marks, and no word of many scripts can be written without them
    return (
        character in _IN_NAMES
        or character.isalpha()
        or unicodedata.category(character) in ("Mn", "Mc")
    )


def _checked_shown(typed: str) -> str:
    shown = " ".join(unicodedata.normalize("NFC", typed).split())
    unprintable = any(
        unicodedata.category(character)[0] == "C" and character not in _JOINERS
        for character in shown
    )
    if not 1 <= len(shown) <= MOST_SHOWN or unprintable:
        raise RefusedError(
            "shown", f"The name that others see has 1 to {MOST_SHOWN} letters or signs."
        )
    return shown


def _checked_language(code: str) -> str:
    if not _LANGUAGE.fullmatch(code):
        raise RefusedError("language", "Write the language as its code, such as en or sw.")
    return code
