"""The rows of a folder as checked values. Each keeps the number of its row."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.containers import CanEventKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil


@dataclass(frozen=True, slots=True, kw_only=True)
class AssociationEntry:
    """The association; `phone` is E.164, `store_c` a mean temperature in degrees Celsius."""

    row: int
    code: str
    name: str
    zone: str
    country: str
    language: str
    phone: str
    cost: str
    store_c: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaEntry:
    """A part of the ward; `told` names the optional columns that its file has."""

    row: int
    code: str
    name: str
    store_c: float | None
    told: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdEntry:
    """A household; `remind_minute` counts from local midnight, `avoid_weekday` from Monday.

    `told` names the optional columns that its file has.
    """

    row: int
    code: str
    area: str
    alias: str
    label: str
    adults: int
    children: int
    regime: Regime
    language: str
    word: str | None
    discreet: bool
    remind_minute: int
    needs_call: bool
    cup_ml: int
    avoid_weekday: int | None
    collected_share: float
    bottle_ml: int | None
    told: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneEntry:
    """A number (E.164), as typed, and the codes of the households that it serves."""

    row: int
    number: str
    typed: str
    households: tuple[str, ...]
    language: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentEntry:
    """A spoken yes; without a household it holds for all on the phone."""

    row: int
    number: str
    household: str | None
    asked_on: date
    asked_by: str
    wording: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotEntry:
    """A piece of ground; a ninth plot on a phone has no letter."""

    row: int
    household: str
    code: str
    letter: str | None
    area_m2: float
    soil: Soil


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantingEntry:
    """A crop on a plot in a season; what is None follows the rules of the place.

    `told` names the optional columns that its file has.
    """

    row: int
    household: str
    plot: str
    code: str
    crop: str
    planted_on: date
    season: Season
    water_ratio: float | None
    litres_per_m2: float | None
    regime: Regime | None
    season_days: int | None
    first_harvest_on: date | None
    transplanted: bool | None
    emerged_on: date | None
    told: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class ContainerEntry:
    """A closable can and the last day on which each thing happened to it."""

    row: int
    household: str
    number: int
    litres: float
    longer_rest: bool
    happened: tuple[tuple[CanEventKind, date], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Folder:
    """An association's records as the files of a folder tell them."""

    associations: tuple[AssociationEntry, ...]  # one, once the folder is free of faults
    areas: tuple[AreaEntry, ...]
    households: tuple[HouseholdEntry, ...]
    phones: tuple[PhoneEntry, ...]
    consents: tuple[ConsentEntry, ...]
    plots: tuple[PlotEntry, ...]
    plantings: tuple[PlantingEntry, ...]
    containers: tuple[ContainerEntry, ...]
