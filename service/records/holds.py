"""Holds: days on which a planting gets no dose."""

from datetime import date, datetime

from sqlalchemy import select

from service.records.engine import Session
from service.records.fields import HoldRow, Source
from service.records.once import insert_once


def add_hold(  # noqa: PLR0913 -- one value a column
    session: Session,
    association_id: int,
    planting_id: int,
    *,
    first_on: date,
    last_on: date,
    source: Source,
    now: datetime,
    noted_by: str | None = None,
) -> None:
    """Add a hold; where one begins on that day already, the longer of the two stands."""
    added = insert_once(
        session,
        HoldRow,
        {
            "association_id": association_id,
            "planting_id": planting_id,
            "first_on": first_on,
            "last_on": last_on,
            "source": source,
            "noted_by": noted_by,
            "recorded_at": now,
        },
    )
    if added is not None:
        return
    held = session.scalars(
        select(HoldRow).where(
            HoldRow.association_id == association_id,
            HoldRow.planting_id == planting_id,
            HoldRow.first_on == first_on,
        )
    ).one()
    held.last_on = max(held.last_on, last_on)
    session.flush()
