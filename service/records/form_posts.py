"""Forms that were saved: the same one again is known by its key."""

from datetime import datetime

from sqlalchemy import select, update

from service.records.engine import Session
from service.records.once import insert_once
from service.records.staff import FormPostRow


def first_post(
    session: Session, association_id: int, key: str, *, staff_id: int, now: datetime
) -> bool:
    """Note that a form came in, and say whether it is the first with this key."""
    values = {
        "association_id": association_id,
        "staff_id": staff_id,
        "key": key,
        "location": "",
        "at": now,
    }
    return insert_once(session, FormPostRow, values) is not None


def set_location(session: Session, association_id: int, key: str, *, location: str) -> None:
    """Write down where a saved form led."""
    session.execute(
        update(FormPostRow)
        .where(FormPostRow.association_id == association_id, FormPostRow.key == key)
        .values(location=location)
    )


def post_of(session: Session, association_id: int, key: str) -> FormPostRow:
    """Return the saved form with this key."""
    return session.scalars(
        select(FormPostRow).where(
            FormPostRow.association_id == association_id, FormPostRow.key == key
        )
    ).one()
