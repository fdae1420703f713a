"""Holds, seasons, figures and store temperatures of areas: entered and withdrawn.

A row is appended and never changed but for its withdrawal, which leaves it standing.
"""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import update

from service.agronomy.local import LocalValue
from service.agronomy.watering import SeasonSpan
from service.records.engine import Session
from service.records.localities import AreaHoldRow, LocalValueRow, SeasonSpanRow
from service.records.people import AreaRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """Who of the staff does it, and when."""

    who: str
    at: datetime


def add_area_hold(  # noqa: PLR0913 -- one value a column
    session: Session,
    association_id: int,
    *,
    area_id: int | None,
    first_on: date,
    last_on: date,
    noted: Noted,
) -> AreaHoldRow:
    """Add days without doses in an area, or in all (None)."""
    row = AreaHoldRow(
        association_id=association_id,
        area_id=area_id,
        first_on=first_on,
        last_on=last_on,
        noted_by=noted.who,
        recorded_at=noted.at,
    )
    session.add(row)
    session.flush()
    return row


def add_season_span(
    session: Session, association_id: int, *, area_id: int | None, span: SeasonSpan, noted: Noted
) -> SeasonSpanRow:
    """Add days of rains or of the dry season in an area, or in all (None)."""
    row = SeasonSpanRow(
        association_id=association_id,
        area_id=area_id,
        season=span.season,
        first_on=span.first_on,
        last_on=span.last_on,
        noted_by=noted.who,
        recorded_at=noted.at,
    )
    session.add(row)
    session.flush()
    return row


def add_local_value(
    session: Session, association_id: int, value: LocalValue, *, noted: Noted
) -> LocalValueRow:
    """Add a figure that stands in the place of the table's."""
    row = LocalValueRow(
        association_id=association_id,
        area_id=value.area_id,
        crop=value.crop,
        soil=None if value.soil is None else value.soil.value,
        key=value.key.value,
        value=value.value,
        source=value.source,
        noted_by=noted.who,
        recorded_at=noted.at,
    )
    session.add(row)
    session.flush()
    return row


def set_store_c(
    session: Session, association_id: int, area_id: int, *, celsius: float | None
) -> None:
    """Give an area the mean temperature of its stores; None for the association's."""
    session.execute(
        update(AreaRow)
        .where(AreaRow.association_id == association_id, AreaRow.id == area_id)
        .values(store_c=celsius)
    )


def withdraw_area_hold(
    session: Session, association_id: int, hold_id: int, *, noted: Noted
) -> None:
    """Let a hold no longer stand; one that was withdrawn before stays as it was."""
    session.execute(
        update(AreaHoldRow)
        .where(
            AreaHoldRow.association_id == association_id,
            AreaHoldRow.id == hold_id,
            AreaHoldRow.withdrawn_at.is_(None),
        )
        .values(withdrawn_by=noted.who, withdrawn_at=noted.at)
    )


def withdraw_season_span(
    session: Session, association_id: int, span_id: int, *, noted: Noted
) -> None:
    """Let a season no longer stand; one that was withdrawn before stays as it was."""
    session.execute(
        update(SeasonSpanRow)
        .where(
            SeasonSpanRow.association_id == association_id,
            SeasonSpanRow.id == span_id,
            SeasonSpanRow.withdrawn_at.is_(None),
        )
        .values(withdrawn_by=noted.who, withdrawn_at=noted.at)
    )


def withdraw_local_value(
    session: Session, association_id: int, value_id: int, *, noted: Noted
) -> None:
    """Let a figure no longer stand; one that was withdrawn before stays as it was."""
    session.execute(
        update(LocalValueRow)
        .where(
            LocalValueRow.association_id == association_id,
            LocalValueRow.id == value_id,
            LocalValueRow.withdrawn_at.is_(None),
        )
        .values(withdrawn_by=noted.who, withdrawn_at=noted.at)
    )
