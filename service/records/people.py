"""Tables of the association and its people."""

from datetime import date, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.agronomy.regimes import Regime
from service.records.base import Base


class AssociationRow(Base):
    """The tenant: a growers' association, its zone and the number of a person to ask."""

    __tablename__ = "association"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(32), unique=True)
    name: Mapped[str] = mapped_column(String(18))
    zone: Mapped[str] = mapped_column(String(64))
    country: Mapped[str] = mapped_column(String(2))
    language: Mapped[str] = mapped_column(String(12))
    phone: Mapped[str] = mapped_column(String(16))
    cost: Mapped[str] = mapped_column(String(24))
    store_c: Mapped[float | None]
    recorded_at: Mapped[datetime]
    monthly_segments: Mapped[int | None]  # the most that it pays for; None: no ceiling


class AreaRow(Base):
    """A part of the ward, with one coordinator's round."""

    __tablename__ = "area"
    __table_args__ = (UniqueConstraint("association_id", "code"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    code: Mapped[str] = mapped_column(String(16))
    name: Mapped[str] = mapped_column(String(60))
    store_c: Mapped[float | None]  # mean of its stores; None for the association's


class HouseholdRow(Base):
    """A household: who eats its crop, which word it chose, when it wants its texts."""

    __tablename__ = "household"
    __table_args__ = (UniqueConstraint("association_id", "code"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    area_id: Mapped[int] = mapped_column(ForeignKey("area.id"))
    code: Mapped[str] = mapped_column(String(16))
    alias: Mapped[str] = mapped_column(String(60))
    label: Mapped[str] = mapped_column(String(8))
    adults: Mapped[int]
    children: Mapped[int]
    regime: Mapped[Regime]
    language: Mapped[str] = mapped_column(String(12))
    word: Mapped[str | None] = mapped_column(String(12))
    discreet: Mapped[bool]
    remind_minute: Mapped[int]  # minutes after local midnight
    needs_call: Mapped[bool]
    cup_ml: Mapped[int]
    bottle_ml: Mapped[int | None]
    collected_share: Mapped[float] = mapped_column(default=1.0)  # of what its people pass
    avoid_weekday: Mapped[int | None]  # Monday is 0: a market or prayer day without dose work
    recorded_at: Mapped[datetime]


class PhoneRow(Base):
    """A phone number; several households may share one."""

    __tablename__ = "phone"
    __table_args__ = (UniqueConstraint("association_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    number: Mapped[str] = mapped_column(String(16))
    typed: Mapped[str] = mapped_column(String(32))
    language: Mapped[str] = mapped_column(String(12))
    muted_until: Mapped[datetime | None]
    recorded_at: Mapped[datetime]


class HouseholdPhoneRow(Base):
    """Which household is served by which phone."""

    __tablename__ = "household_phone"
    __table_args__ = (UniqueConstraint("household_id", "phone_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    household_id: Mapped[int] = mapped_column(ForeignKey("household.id"), index=True)
    phone_id: Mapped[int] = mapped_column(ForeignKey("phone.id"), index=True)


class Consent(StrEnum):
    """What was said about getting texts."""

    VERBAL = "verbal"  # asked face to face, and the household said yes
    GIVEN = "given"  # YES or START from the phone itself
    REFUSED = "refused"
    STOPPED = "stopped"


class ConsentEventRow(Base):
    """One thing said about consent, for a phone and, if said for one only, a household."""

    __tablename__ = "consent_event"
    __table_args__ = (UniqueConstraint("association_id", "key"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    phone_id: Mapped[int] = mapped_column(ForeignKey("phone.id"), index=True)
    household_id: Mapped[int | None] = mapped_column(ForeignKey("household.id"))
    kind: Mapped[Consent]
    on: Mapped[date]
    asked_by: Mapped[str] = mapped_column(String(60))
    wording: Mapped[str] = mapped_column(String(400))
    key: Mapped[str] = mapped_column(String(80))
    recorded_at: Mapped[datetime]


class AuditRow(Base):
    """Who changed what, when, and from where. Never holds a number or a text."""

    __tablename__ = "audit"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(60))
    what: Mapped[str] = mapped_column(String(40))
    subject: Mapped[str] = mapped_column(String(40))
    subject_id: Mapped[int]
    origin: Mapped[str] = mapped_column(String(24))
    detail: Mapped[dict[str, Any]]


class ImportRunRow(Base):
    """One folder read in: how many rows were new or changed."""

    __tablename__ = "import_run"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    at: Mapped[datetime]
    added: Mapped[int]
    changed: Mapped[int]
    unchanged: Mapped[int]
