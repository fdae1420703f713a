"""Tables of containers, plots, plantings, their facts and their doses."""

from datetime import date, datetime
from enum import StrEnum

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.agronomy.buffers import WaterKind
from service.agronomy.containers import CanEventKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.records.base import Base


class Source(StrEnum):
    """How a fact came to us."""

    TEXT = "text"
    MENU = "menu"  # USSD
    CALL = "call"
    FORM = "form"
    IMPORT = "import"
    SERVICE = "service"


OWN_WORD = (Source.TEXT, Source.MENU)  # the grower's own, without anybody asking back


class ContainerRow(Base):
    """A closable can with a number that is unique among all who share a phone."""

    __tablename__ = "container"
    __table_args__ = (UniqueConstraint("household_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    household_id: Mapped[int] = mapped_column(ForeignKey("household.id"), index=True)
    number: Mapped[int]
    litres: Mapped[float]
    longer_rest: Mapped[bool]
    recorded_at: Mapped[datetime]


class ContainerEventRow(Base):
    """One thing that happened to a container; appended, never changed."""

    __tablename__ = "container_event"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    container_id: Mapped[int] = mapped_column(ForeignKey("container.id"), index=True)
    kind: Mapped[CanEventKind]
    on: Mapped[date]
    source: Mapped[Source]
    noted_by: Mapped[str | None] = mapped_column(String(60))  # of the staff
    recorded_at: Mapped[datetime]


class Texture(StrEnum):
    """What the ground is made of, as a hand feels it."""

    SANDY = "sandy"
    LOAM = "loam"
    CLAY = "clay"


class PlotRow(Base):
    """A piece of ground; its letter is unique among all who share a phone with it."""

    __tablename__ = "plot"
    __table_args__ = (UniqueConstraint("household_id", "code"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    household_id: Mapped[int] = mapped_column(ForeignKey("household.id"), index=True)
    code: Mapped[str] = mapped_column(String(16))
    letter: Mapped[str | None] = mapped_column(String(1))  # a ninth plot has none
    area_m2: Mapped[float]
    soil: Mapped[Soil]
    measured: Mapped[str] = mapped_column(String(60), default="")  # how the area was told
    texture: Mapped[Texture | None]
    water_kind: Mapped[WaterKind | None]
    water_m: Mapped[float | None]  # to the nearest of that kind
    hazards: Mapped[str | None] = mapped_column(String(60))  # by comma; None: nobody has asked
    site_ok_by: Mapped[str | None] = mapped_column(String(60))  # who decided that it may be used
    site_ok_why: Mapped[str | None] = mapped_column(String(200))
    site_ok_at: Mapped[datetime | None]
    recorded_at: Mapped[datetime]


class PlantingRow(Base):
    """A crop on a plot in a season, as first recorded; later news are facts."""

    __tablename__ = "planting"
    __table_args__ = (UniqueConstraint("plot_id", "code"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    plot_id: Mapped[int] = mapped_column(ForeignKey("plot.id"), index=True)
    code: Mapped[str] = mapped_column(String(16))
    crop: Mapped[str] = mapped_column(String(32))
    planted_on: Mapped[date]
    season: Mapped[Season]
    water_ratio: Mapped[float | None]  # None: by the season of its area
    litres_per_m2: Mapped[float | None]  # None: by the local value, or the usual
    regime: Mapped[Regime | None]  # who eats this crop; None: as the household's
    season_days: Mapped[int | None]
    first_harvest_on: Mapped[date | None]
    transplanted: Mapped[bool | None]
    drained: Mapped[bool] = mapped_column(
        default=False
    )  # a person has confirmed that no water stands here
    row_cm: Mapped[float | None]
    plant_cm: Mapped[float | None]
    closed_on: Mapped[date | None]
    recorded_at: Mapped[datetime]


class FactKind(StrEnum):
    """What became known about a planting."""

    SOWN = "sown"
    EMERGED = "emerged"
    APPLIED = "applied"
    NOT_APPLIED = "not-applied"
    SECOND_REPORT = "second-report"
    NOT_READY = "not-ready"  # the window closed and no container had been ready
    HARVESTED = "harvested"
    BURNT = "burnt"
    GO_ON = "go-on"  # a person has looked at burnt leaves, and doses may go on
    PUT_OFF = "put-off"  # the sowing is planned for another day
    RESOWN = "resown"
    FAILED = "failed"
    ELSEWHERE = "elsewhere"  # a dose given before the plan knew of it, with its litres


class Flag(StrEnum):
    """Why a coordinator should look at a fact."""

    AFTER_CUTOFF = "after-cutoff"
    NOT_READY = "not-ready"
    DROPPED = "dropped"
    TOO_EARLY = "too-early"


class PlantingFactRow(Base):
    """One fact about a planting; appended, never changed. The latest of a kind stands."""

    __tablename__ = "planting_fact"

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    planting_id: Mapped[int] = mapped_column(ForeignKey("planting.id"), index=True)
    kind: Mapped[FactKind]
    dose_number: Mapped[int | None]
    on: Mapped[date]
    litres: Mapped[float | None]
    source: Mapped[Source]
    noted_by: Mapped[str | None] = mapped_column(String(60))  # of the staff
    flag: Mapped[Flag | None]
    recorded_at: Mapped[datetime]


class DoseState(StrEnum):
    """Where a dose stands. Silence is `not-known`, never `not-done`."""

    PLANNED = "planned"
    DONE = "done"
    NOT_DONE = "not-done"
    NOT_KNOWN = "not-known"
    DROPPED = "dropped"


class DoseRow(Base):
    """One dose of a planting's plan: recomputed from facts, never edited."""

    __tablename__ = "dose"
    __table_args__ = (
        UniqueConstraint("planting_id", "number"),
        Index("ix_dose_association_state_due", "association_id", "state", "due_on"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    planting_id: Mapped[int] = mapped_column(ForeignKey("planting.id"), index=True)
    number: Mapped[int]
    due_on: Mapped[date]
    closes_on: Mapped[date]
    urine_l: Mapped[float]
    water_l: Mapped[float]
    short_l: Mapped[float] = mapped_column(default=0.0)  # what the cans lack of the plan's share
    revision: Mapped[int]
    state: Mapped[DoseState]
    reason: Mapped[str | None] = mapped_column(String(24))
    told: Mapped[bool]  # its litres have left for the grower, so they stay


class HoldRow(Base):
    """Days on which a planting gets no dose."""

    __tablename__ = "hold"
    __table_args__ = (UniqueConstraint("planting_id", "first_on"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"), index=True)
    planting_id: Mapped[int] = mapped_column(ForeignKey("planting.id"), index=True)
    first_on: Mapped[date]
    last_on: Mapped[date]
    source: Mapped[Source]
    noted_by: Mapped[str | None] = mapped_column(String(60))
    recorded_at: Mapped[datetime]
