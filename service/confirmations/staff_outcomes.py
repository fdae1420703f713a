"""What news has led to that only staff write down, as values; the caller finds the words."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.agronomy.season_plan import SeasonPlan
from service.confirmations.outcomes import NeedsReading
from service.records.site import Hazard


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A crop is noted as failed, or as never come up; its planting is closed."""

    letter: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Resown:
    """A plot is noted as sown again; the season counts from that day."""

    letter: str
    on: date
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SownLater:
    """The sowing is planned for another day."""

    letter: str
    on: date
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenBefore:
    """A dose is noted that was given before the service knew of the planting."""

    code: str
    on: date
    litres: float
    next_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WentOn:
    """A person has looked at burnt leaves, and doses go on; `next_on` is the next one's day."""

    letter: str
    next_on: date | None


TurnOutcome = Failed | Resown | SownLater | GivenBefore | WentOn | NeedsReading
"""What a turn of a season has led to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """An open planting with its plan before and after something else changed."""

    planting_id: int
    letter: str | None
    crop: str
    before: SeasonPlan
    after: SeasonPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaCorrected:
    """A plot's area is corrected, in square metres."""

    before_m2: float
    after_m2: float
    plans: tuple[Replanned, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilCorrected:
    """It is noted what a plot's soil bears."""

    soil: Soil
    plans: tuple[Replanned, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteTold:
    """It is noted what is risky about a plot's ground."""

    hazards: tuple[Hazard, ...]
    plans: tuple[Replanned, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteDecided:
    """Somebody has decided that a plot may be used in spite of its ground."""

    plans: tuple[Replanned, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteWithdrawn:
    """That decision does not hold any more: nothing is given there."""

    plans: tuple[Replanned, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EatersSet:
    """It is noted who eats a planting's crop; None: the household's own rule holds."""

    regime: Regime | None
    plans: tuple[Replanned, ...]


GroundOutcome = (
    AreaCorrected
    | SoilCorrected
    | SiteTold
    | SiteDecided
    | SiteWithdrawn
    | EatersSet
    | NeedsReading
)
"""What news of the ground, or of who eats its crop, has led to."""
