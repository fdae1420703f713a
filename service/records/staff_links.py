"""One-time links; only the hash of a link's token is kept."""

from datetime import datetime

from sqlalchemy import select, update

from service.records.engine import Session
from service.records.staff import StaffLinkRow


def link_of_hash(session: Session, token_hash: str) -> StaffLinkRow | None:
    """Return the link whose token has this hash, used or not, of whichever association."""
    return session.scalars(
        select(StaffLinkRow).where(StaffLinkRow.token_hash == token_hash)
    ).one_or_none()


def add_link(session: Session, link: StaffLinkRow) -> None:
    """Add a link; it carries its association."""
    session.add(link)
    session.flush()


def end_links(session: Session, association_id: int, staff_id: int, *, now: datetime) -> None:
    """Let no unused link of a member of staff work any longer."""
    session.execute(
        update(StaffLinkRow)
        .where(
            StaffLinkRow.association_id == association_id,
            StaffLinkRow.staff_id == staff_id,
            StaffLinkRow.used_at.is_(None),
            StaffLinkRow.expires_at > now,
        )
        .values(expires_at=now)
    )


def use_link(session: Session, association_id: int, link_id: int, *, now: datetime) -> bool:
    """Use a link up, and say whether it still worked."""
    used = session.execute(
        update(StaffLinkRow)
        .where(
            StaffLinkRow.association_id == association_id,
            StaffLinkRow.id == link_id,
            StaffLinkRow.used_at.is_(None),
            StaffLinkRow.expires_at > now,
        )
        .values(used_at=now)
        .returning(StaffLinkRow.id)
    )
    return used.one_or_none() is not None
