"""Holds: days on which a planting gets no dose."""

from datetime import date, datetime

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
) -> int | None:
    """Add a hold and return its id, or None where one begins on that day already."""
    return insert_once(
        session,
        HoldRow,
        {
            "association_id": association_id,
            "planting_id": planting_id,
            "first_on": first_on,
            "last_on": last_on,
            "source": source,
            "recorded_at": now,
        },
    )
