"""What a plan for collecting is asked with, and what it answers. Values only."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.allotment import Stock
from service.agronomy.containers import DoseKey
from service.agronomy.regimes import Regime


class NoStart(StrEnum):
    """Why no day to start can be named."""

    NOTHING_LACKS = "nothing-lacks"
    TOO_LITTLE = "too-little"
    STORE_UNKNOWN = "store-unknown"
    COLD_STORE = "cold-store"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A dose to collect for: its day, its litres of urine and who eats its crop."""

    dose: DoseKey
    due_on: date
    litres: float
    regime: Regime


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """What a household collects with.

    Attributes:
        litres_a_day: what it collects.
        can_litres: the volume of its cans.
        stocks: cans sealed already. No forecasts: those are what is worked out here.
        filling_litres: what is in the can being filled today.
        longer_rest: whether the new cans are flagged for the longer rest.
        store_c: the store's mean temperature in degrees Celsius, None if not known.
    """

    litres_a_day: float
    can_litres: float
    stocks: tuple[Stock, ...] = ()
    filling_litres: float = 0.0
    longer_rest: bool = False
    store_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SealBy:
    """A can, by its place in the row: full on a day, to be sealed on `seal_on` at the latest."""

    place: int
    litres: float
    full_on: date
    seal_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectPlan:
    """How to collect for doses.

    Attributes:
        start_on: the last day to start so that every can is full by its day; None says `why_not`.
        last_seal_on: the day by which the last can must be sealed.
        days: of collecting, counted up.
        cans: cans to fill.
        too_late_for_first: whether a start today misses the first dose that urine is lacking for.
        ready_from: of the doses that urine is lacking for, the first that a start today is in
            time for, those before it left out; None where there is none.
        never_ready: doses that no can becomes ready for in a store like this.
    """

    start_on: date | None
    last_seal_on: date | None
    days: int
    cans: int
    seal_by: tuple[SealBy, ...]
    too_late_for_first: bool
    ready_from: Wanted | None
    never_ready: tuple[DoseKey, ...]
    why_not: NoStart | None
