"""A season's plan, computed anew from its facts each time; a plan is never edited.

Doses given or closed are facts and keep their day. Amounts once told keep their litres.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from service.agronomy.calendar import add_days
from service.agronomy.crops import Crop
from service.agronomy.cutoff import CutoffRule, cutoff, first_harvest
from service.agronomy.dose_days import (
    DayRules,
    DropReason,
    Slot,
    closes_on,
    pattern_days,
    place_doses,
)
from service.agronomy.dosing import floor_to_step, is_over
from service.agronomy.refusals import check_amount, check_area, check_crop, check_water_ratio
from service.agronomy.rules import rules
from service.agronomy.shares import Shares, share_out


class Soil(StrEnum):
    """The ground of a plot; dry soil is not the dry season."""

    NORMAL = "normal"
    SALTY = "salty"
    DRY = "dry"


class Measure(StrEnum):
    """Whether amounts stay exact or are rounded down to what a grower measures."""

    EXACT = "exact"
    GROWER = "grower"


class SeasonWarning(StrEnum):
    """What the coordinator should look at in a plan."""

    OVER_3_L_PER_M2 = "over-3-l-per-m2"
    SHORTFALL = "shortfall"
    NO_DOSE_FITS = "no-dose-fits"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Days on which nothing is applied, both ends included."""

    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonFacts:
    """All that a plan follows from.

    Attributes:
        litres_per_m2: the season's target before poor soil halves it.
        emerged_on: the reported day; None while it is assumed from the crop table.
        transplanted: None where the crop's own habit holds.
        water_ratio: parts of water to one of urine.
        given: dose number to the day it was applied.
        missed: dose number to the day of a dose whose window closed without a report of use.
        told_litres: amounts told, given or closed; they no longer change.
        not_ready: doses that no container was ready for.
    """

    crop: Crop
    planted_on: date
    area_m2: float
    litres_per_m2: float = field(default_factory=lambda: rules().litres_per_m2)
    soil: Soil = Soil.NORMAL
    emerged_on: date | None = None
    first_harvest_on: date | None = None
    season_days: int | None = None
    fraction: Fraction = field(default_factory=lambda: rules().least_share)
    transplanted: bool | None = None
    water_ratio: float = 0
    given: Mapping[int, date] = field(default_factory=dict)
    missed: Mapping[int, date] = field(default_factory=dict)
    told_litres: Mapping[int, float] = field(default_factory=dict)
    holds: tuple[Hold, ...] = ()
    not_ready: frozenset[int] = frozenset()
    measure: Measure = Measure.EXACT


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDose:
    """A dose of the plan; `due_on` of a given dose is the day it was given."""

    number: int
    due_on: date
    litres: float
    water_litres: float
    closes_on: date
    given_on: date | None


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


def soil_share(soil: Soil) -> float:
    """Return the part of the usual amounts and limits that a soil bears."""
    return 1.0 if soil is Soil.NORMAL else rules().salty_or_dry_share


def plan_season(facts: SeasonFacts) -> SeasonPlan:
    """Return the plan that follows from the facts.

    Dates that contradict each other are refused where they are entered, by `check_dates`; here
    they can only make a plan smaller.

    Raises:
        RefusedError: `legume`, `perennial`, `area`, `water` or `over-ceiling`.
    """
    share = soil_share(facts.soil)
    litres_per_m2 = facts.litres_per_m2 * share
    check_crop(facts.crop)
    check_area(facts.area_m2)
    check_water_ratio(facts.water_ratio)
    check_amount(litres_per_m2, share=share)
    season_days = facts.season_days or facts.crop.season_days
    usual_emergence_on = add_days(facts.planted_on, facts.crop.emergence_days)
    emergence_on = max(facts.planted_on, facts.emerged_on or usual_emergence_on)
    harvest_on = first_harvest(
        facts.crop, facts.planted_on, season_days=season_days, known_on=facts.first_harvest_on
    )
    end = cutoff(
        facts.planted_on,
        season_days=season_days,
        first_harvest_on=harvest_on,
        share=facts.fraction,
    )
    slots = _slots(facts, emergence_on=emergence_on, cutoff_on=end.on)
    live = [slot for slot in slots if slot.reason is None]
    target = litres_per_m2 * facts.area_m2
    shares = share_out(
        target,
        numbers=[slot.number for slot in live],
        told=facts.told_litres,
        rounded=floor_to_step if facts.measure is Measure.GROWER else float,
    )
    return SeasonPlan(
        doses=tuple(_planned(facts, slot, live, shares, end.on) for slot in live),
        dropped=tuple(
            DroppedDose(number=slot.number, due_on=slot.on, reason=slot.reason)
            for slot in slots
            if slot.reason is not None
        ),
        cutoff_on=end.on,
        cutoff_rule=end.rule,
        emergence_on=emergence_on,
        emergence_assumed=facts.emerged_on is None,
        first_harvest_on=harvest_on,
        season_days=season_days,
        target_litres=target,
        shortfall_litres=shares.shortfall_litres,
        warnings=_warnings(litres_per_m2, share, shares),
    )


def _slots(facts: SeasonFacts, *, emergence_on: date, cutoff_on: date) -> tuple[Slot, ...]:
    missed = {n: on for n, on in facts.missed.items() if n not in facts.not_ready}
    planting_dose = facts.crop.planting_dose or bool(facts.transplanted)
    return place_doses(
        DayRules(
            pattern=pattern_days(facts.planted_on, emergence_on),
            fixed={**missed, **facts.given},
            given_on=tuple(facts.given.values()),
            left_out=() if planting_dose else (1,),
            not_ready=facts.not_ready,
            holds=tuple((hold.first_on, hold.last_on) for hold in facts.holds),
            cutoff_on=cutoff_on,
        )
    )


def _planned(
    facts: SeasonFacts, slot: Slot, live: list[Slot], shares: Shares, cutoff_on: date
) -> PlannedDose:
    litres = shares.litres[slot.number]
    given_on = facts.given.get(slot.number)
    return PlannedDose(
        number=slot.number,
        due_on=slot.on,
        litres=litres,
        water_litres=litres * facts.water_ratio,
        closes_on=slot.on if given_on else closes_on(slot, live, cutoff_on=cutoff_on),
        given_on=given_on,
    )


def _warnings(litres_per_m2: float, share: float, shares: Shares) -> tuple[SeasonWarning, ...]:
    found = {
        SeasonWarning.OVER_3_L_PER_M2: is_over(litres_per_m2, rules().warn_litres_per_m2 * share),
        SeasonWarning.SHORTFALL: shares.too_few,
        SeasonWarning.NO_DOSE_FITS: not shares.litres,
    }
    return tuple(warning for warning, holds in found.items() if holds)
