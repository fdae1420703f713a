"""What a person enters for an area or for all, not yet checked, and what followed from it."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.dosing import Season
from service.agronomy.season import Soil
from service.enrolment.moves import Moved


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldEntry:
    """Days without doses in an area, or in all (None), both ends included."""

    area_id: int | None
    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanEntry:
    """Days of rains or of the dry season in an area, or in all (None), both ends included."""

    area_id: int | None
    season: Season
    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureEntry:
    """A figure in the place of the table's, as it was typed.

    Attributes:
        key: which figure, as `LocalKey` names it.
        value: a number, or the days of a pattern by comma.
        source: where it comes from.
        area_id: None for all areas.
        crop: its id in the crop table; None for all crops.
        soil: None for every soil.
    """

    key: str
    value: str
    source: str
    area_id: int | None = None
    crop: str | None = None
    soil: Soil | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """How many households were planned anew, and which of their doses changed.

    `watered` counts the doses of unchanged urine that get another amount of water.
    """

    households: int
    moved: tuple[Moved, ...] = ()
    watered: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldAdded:
    """A hold as it was saved, with the days of those that it overlaps."""

    hold_id: int
    overlaps: tuple[HoldEntry, ...]
    replanned: Replanned
