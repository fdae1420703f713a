"""The staff, and the second factors that let them in.

A sign-in name is looked up before it is known whose association it belongs to; all else is
asked with its tenant.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, or_, select, update

from service.records.engine import Session
from service.records.once import insert_once
from service.records.staff import Role, StaffCodeRow, StaffRow


@dataclass(frozen=True, slots=True, kw_only=True)
class StaffFacts:
    """What is said of a member of staff before there is a row."""

    name: str
    shown: str
    role: Role
    language: str


def staff_named(session: Session, name: str) -> StaffRow | None:
    """Return who signs in with this name, removed or not, of whichever association."""
    return session.scalars(select(StaffRow).where(StaffRow.name == name)).one_or_none()


def staff_by_id(session: Session, association_id: int, staff_id: int) -> StaffRow:
    """Return a member of staff, removed or not."""
    return session.scalars(
        select(StaffRow).where(StaffRow.association_id == association_id, StaffRow.id == staff_id)
    ).one()


def present_staff(session: Session, association_id: int) -> list[StaffRow]:
    """Return the staff who were not removed, by name."""
    return list(
        session.scalars(
            select(StaffRow)
            .where(StaffRow.association_id == association_id, StaffRow.removed_at.is_(None))
            .order_by(StaffRow.name)
        )
    )


def lock_admins(session: Session, association_id: int) -> list[int]:
    """Return the ids of the administrators, who stay what they are until the transaction ends."""
    return list(
        session.scalars(
            select(StaffRow.id)
            .where(
                StaffRow.association_id == association_id,
                StaffRow.role == Role.ADMIN,
                StaffRow.removed_at.is_(None),
            )
            .order_by(StaffRow.id)
            .with_for_update()
        )
    )


def add_staff_row(
    session: Session, association_id: int, facts: StaffFacts, *, now: datetime
) -> int | None:
    """Add a member of staff and return the id, or None where the name is taken."""
    return insert_once(
        session,
        StaffRow,
        {
            "association_id": association_id,
            "name": facts.name,
            "shown": facts.shown,
            "role": facts.role,
            "language": facts.language,
            "recorded_at": now,
        },
    )


def remove_staff_row(
    session: Session, association_id: int, staff_id: int, *, now: datetime
) -> None:
    """Mark a member of staff as removed and drop what would let them in."""
    session.execute(
        update(StaffRow)
        .where(
            StaffRow.association_id == association_id,
            StaffRow.id == staff_id,
            StaffRow.removed_at.is_(None),
        )
        .values(removed_at=now, password_hash=None, totp_sealed=None, totp_step=None)
    )
    session.execute(
        delete(StaffCodeRow).where(
            StaffCodeRow.association_id == association_id, StaffCodeRow.staff_id == staff_id
        )
    )


def set_password(
    session: Session, association_id: int, staff_id: int, *, password_hash: str
) -> None:
    """Keep the hash of a new password."""
    session.execute(
        update(StaffRow)
        .where(StaffRow.association_id == association_id, StaffRow.id == staff_id)
        .values(password_hash=password_hash)
    )


def set_totp(
    session: Session, association_id: int, staff_id: int, *, sealed: str, step: int
) -> None:
    """Keep a second factor, sealed, with the step of the code that proved it."""
    session.execute(
        update(StaffRow)
        .where(StaffRow.association_id == association_id, StaffRow.id == staff_id)
        .values(totp_sealed=sealed, totp_step=step)
    )


def take_step(session: Session, association_id: int, staff_id: int, *, step: int) -> bool:
    """Use a step of the second factor up, and say whether it was still unused."""
    taken = session.execute(
        update(StaffRow)
        .where(
            StaffRow.association_id == association_id,
            StaffRow.id == staff_id,
            or_(StaffRow.totp_step.is_(None), StaffRow.totp_step < step),
        )
        .values(totp_step=step)
        .returning(StaffRow.id)
    )
    return taken.one_or_none() is not None


def add_codes(
    session: Session, association_id: int, staff_id: int, hashes: Iterable[str], *, now: datetime
) -> None:
    """Keep the hashes of recovery codes; those of before no longer count."""
    session.execute(
        delete(StaffCodeRow).where(
            StaffCodeRow.association_id == association_id, StaffCodeRow.staff_id == staff_id
        )
    )
    session.add_all(
        StaffCodeRow(
            association_id=association_id, staff_id=staff_id, code_hash=code_hash, recorded_at=now
        )
        for code_hash in hashes
    )
    session.flush()


def use_code(
    session: Session, association_id: int, staff_id: int, *, code_hash: str, now: datetime
) -> bool:
    """Use a recovery code up, and say whether it was one and still unused."""
    used = session.execute(
        update(StaffCodeRow)
        .where(
            StaffCodeRow.association_id == association_id,
            StaffCodeRow.staff_id == staff_id,
            StaffCodeRow.code_hash == code_hash,
            StaffCodeRow.used_at.is_(None),
        )
        .values(used_at=now)
        .returning(StaffCodeRow.id)
    )
    return used.one_or_none() is not None


def codes_left(session: Session, association_id: int, staff_id: int) -> int:
    """Return how many recovery codes are unused."""
    return session.execute(
        select(func.count()).where(
            StaffCodeRow.association_id == association_id,
            StaffCodeRow.staff_id == staff_id,
            StaffCodeRow.used_at.is_(None),
        )
    ).scalar_one()


def set_language(session: Session, association_id: int, staff_id: int, *, language: str) -> None:
    """Set the language in which a member of staff reads the pages."""
    session.execute(
        update(StaffRow)
        .where(StaffRow.association_id == association_id, StaffRow.id == staff_id)
        .values(language=language)
    )
