"""What a season's plan says: the doses, those that a rule took out, and what follows."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.cutoff import CutoffRule
from service.agronomy.dose_days import DropReason, MoveReason


class SeasonWarning(StrEnum):
    """What the coordinator should look at in a plan."""

    OVER_3_L_PER_M2 = "over-3-l-per-m2"
    SHORTFALL = "shortfall"
    NO_DOSE_FITS = "no-dose-fits"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDose:
    """A dose of the plan; `due_on` of a given dose is the day it was given.

    `usual_on` is the day of its pattern, `moved` the rules that moved it off that day.
    """

    number: int
    due_on: date
    litres: float
    water_litres: float
    closes_on: date
    given_on: date | None
    usual_on: date
    moved: tuple[MoveReason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DroppedDose:
    """A dose that a rule took out; `due_on` is the day it would have had."""

    number: int
    due_on: date
    reason: DropReason


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonPlan:
    """What to do in a season, and why; both kinds of dose are in the pattern's order."""

    doses: tuple[PlannedDose, ...]
    dropped: tuple[DroppedDose, ...]
    cutoff_on: date
    cutoff_rule: CutoffRule
    emergence_on: date
    emergence_assumed: bool
    first_harvest_on: date
    season_days: int
    target_litres: float
    shortfall_litres: float
    warnings: tuple[SeasonWarning, ...]
