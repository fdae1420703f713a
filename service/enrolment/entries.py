"""What a person enters: read from the form, not yet checked. A field's name stands once."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.buffers import WaterKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.enrolment.ground import Ground
from service.records.fields import Texture
from service.records.site import Hazard


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdEntry:
    """A household; `alias` and `area_id` are all it must have.

    Attributes:
        code: blank for the next free number.
        label: how a shared phone's texts name it; blank for one made from the alias.
        adults: None while nobody has said.
        children: None while nobody has said.
        eats: who eats the crop; None while nobody has said, which rests longest.
        language: None for the association's own.
        word: its own word for the liquid; blank for none.
        discreet: whether its texts name neither crop nor liquid.
        remind_minute: minutes after local midnight, 17:00 to 19:59; None for 18:00.
        needs_call: whether calls stand in for texts.
        cup_ml: None for the usual cup.
        bottle_ml: the bottle they measure with; None where they have none.
        collected_share: in per cent, of what its people pass; None for all of it.
        avoid_weekday: Monday is 0: a market or prayer day without dose work; None for none.
    """

    alias: str
    area_id: int
    code: str = ""
    label: str = ""
    adults: int | None = None
    children: int | None = None
    eats: Regime | None = None
    language: str | None = None
    word: str = ""
    discreet: bool = False
    remind_minute: int | None = None
    needs_call: bool = False
    cup_ml: int | None = None
    bottle_ml: int | None = None
    collected_share: float | None = None
    avoid_weekday: int | None = None


class Share(StrEnum):
    """Whether a number that other households use may be shared."""

    ASK = "ask"
    SHARE = "share"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneEntry:
    """A number in any local form; `phone_language` None is the household's own."""

    number: str
    share: Share = Share.ASK
    phone_language: str | None = None


class Said(StrEnum):
    """What a household answered when it was asked about texts."""

    YES = "yes"
    NO = "no"


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentEntry:
    """The answer face to face: who asked, when, and the words that were read out."""

    said: Said
    asked_on: date
    asked_by: str
    wording: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotEntry:
    """A piece of ground; `water_m` metres from the nearest water of the kind.

    `hazards` is None while nobody has asked what is risky about it.
    """

    ground: Ground
    soil: Soil = Soil.NORMAL
    texture: Texture | None = None
    water_kind: WaterKind | None = None
    water_m: float | None = None
    hazards: frozenset[Hazard] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantingEntry:
    """A crop on a plot; a `planted_on` to come is a plan.

    Attributes:
        crop: its id in the crop table.
        planted_on: the day of sowing or of planting out.
        season: whether water is added by rule.
        water_ratio: parts of water to one of urine; None for the season's usual.
        litres_per_m2: of urine in the season; None for the usual.
        season_days: the local length; None for the crop table's.
        first_harvest_on: the first picking as a day.
        first_harvest_days: the first picking in days after planting, in its place.
        transplanted: None for the crop's own habit.
        drained: a person has seen that no water stands here.
        row_cm: between rows; None for the crop's usual.
        plant_cm: between plants in the row; None for the crop's usual.
        emerged_on: the day most plants were up, once they are.
    """

    crop: str
    planted_on: date
    season: Season
    water_ratio: float | None = None
    litres_per_m2: float | None = None
    season_days: int | None = None
    first_harvest_on: date | None = None
    first_harvest_days: int | None = None
    transplanted: bool | None = None
    drained: bool = False
    row_cm: float | None = None
    plant_cm: float | None = None
    emerged_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CanEntry:
    """A container and what last happened to it; `can_number` None is the next free."""

    litres: float
    can_number: int | None = None
    longer_rest: bool = False
    opened_on: date | None = None
    sealed_on: date | None = None
    emptied_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Enrolment:
    """A household with whatever else is known; None is not known yet."""

    household: HouseholdEntry
    phone: PhoneEntry | None = None
    consent: ConsentEntry | None = None
    plot: PlotEntry | None = None
    planting: PlantingEntry | None = None
    can: CanEntry | None = None
