"""Tables of what holds for a part of the ward: rains, holds, and figures of its own.

Rows are appended; one that no longer holds is withdrawn, never deleted.
"""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from service.agronomy.dosing import Season
from service.records.base import Base


class AreaHoldRow(Base):
    """Days on which no dose is given in an area, or anywhere (no area)."""

    __tablename__ = "area_hold"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    area_id: Mapped[int | None] = mapped_column(ForeignKey("area.id"))
    first_on: Mapped[date]
    last_on: Mapped[date]
    noted_by: Mapped[str] = mapped_column(String(60))  # of the staff
    recorded_at: Mapped[datetime]
    withdrawn_by: Mapped[str | None] = mapped_column(String(60))
    withdrawn_at: Mapped[datetime | None]


class SeasonSpanRow(Base):
    """Days of rains or of the dry season in an area, or anywhere (no area). The latest stands."""

    __tablename__ = "season_span"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    area_id: Mapped[int | None] = mapped_column(ForeignKey("area.id"))
    season: Mapped[Season]
    first_on: Mapped[date]
    last_on: Mapped[date]
    noted_by: Mapped[str] = mapped_column(String(60))
    recorded_at: Mapped[datetime]
    withdrawn_by: Mapped[str | None] = mapped_column(String(60))
    withdrawn_at: Mapped[datetime | None]


class LocalValueRow(Base):
    """A figure that stands here in the place of the table's, with its written source.

    `area_id`, `crop` and `soil` are null where it holds for all of them. `value` is a number, or
    numbers by comma for a pattern of days.
    """

    __tablename__ = "local_value"
    __table_args__ = (Index("ix_local_value_association_key", "association_id", "key"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    area_id: Mapped[int | None] = mapped_column(ForeignKey("area.id"))
    crop: Mapped[str | None] = mapped_column(String(32))
    soil: Mapped[str | None] = mapped_column(String(24))
    key: Mapped[str] = mapped_column(String(24))
    value: Mapped[str] = mapped_column(String(80))
    source: Mapped[str] = mapped_column(String(200))
    noted_by: Mapped[str] = mapped_column(String(60))
    recorded_at: Mapped[datetime]
    withdrawn_by: Mapped[str | None] = mapped_column(String(60))
    withdrawn_at: Mapped[datetime | None]
