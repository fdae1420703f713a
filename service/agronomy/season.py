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
from service.agronomy.cutoff import cutoff, first_harvest
from service.agronomy.dose_days import (
    DayRules,
    DropReason,
    Slot,
    closes_on,
    pattern_days,
    place_doses,
)
from service.agronomy.dosing import dose_cap, floor_to_step, is_over
from service.agronomy.perennial import perennial_pattern
from service.agronomy.refusals import check_amount, check_area, check_crop, check_water_ratio
from service.agronomy.rules import rules
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan, SeasonWarning
from service.agronomy.shares import Shares, share_out
from service.agronomy.watering import SeasonSpan, rains_known, season_on, water_ratio


class Soil(StrEnum):
    """The ground of a plot; dry soil is not the dry season."""

    NORMAL = "normal"
    SALTY = "salty"
    DRY = "dry"


class Measure(StrEnum):
    """Whether amounts stay exact or are rounded down to what a grower measures."""

    EXACT = "exact"
    GROWER = "grower"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Days on which nothing is applied, both ends included."""

    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonFacts:
    """All that a plan follows from.

    Attributes:
        crop: the crop's row, with local figures in it.
        litres_per_m2: the season's target before poor soil halves it.
        after_emergence_days: the pattern: days of the doses after the one at planting.
        emerged_on: the reported day; None while it is assumed from the crop table.
        transplanted: None where the crop's own habit holds.
        water_ratio: parts of water to one of urine on a day that no span holds.
        water_chosen: parts of water somebody chose, which a span may raise.
        spans: days of rains and of the dry season, the last one that holds a day standing.
        given: dose number to the day it was applied.
        missed: dose number to the day of a dose whose window closed without a report of use.
        told_litres: amounts told, given or closed; they no longer change.
        not_ready: doses that no container was ready for.
        avoided: days of the week without dose work, Monday being 0.
        site_open: whether the ground may be used; a plot at risk waits for a person.
    """

    crop: Crop
    planted_on: date
    area_m2: float
    litres_per_m2: float = field(default_factory=lambda: rules().litres_per_m2)
    after_emergence_days: tuple[int, ...] = field(
        default_factory=lambda: rules().after_emergence_days
    )
    soil: Soil = Soil.NORMAL
    emerged_on: date | None = None
    first_harvest_on: date | None = None
    season_days: int | None = None
    fraction: Fraction = field(default_factory=lambda: rules().least_share)
    transplanted: bool | None = None
    water_ratio: float = 0
    water_chosen: float | None = None
    spans: tuple[SeasonSpan, ...] = ()
    given: Mapping[int, date] = field(default_factory=dict)
    missed: Mapping[int, date] = field(default_factory=dict)
    told_litres: Mapping[int, float] = field(default_factory=dict)
    holds: tuple[Hold, ...] = ()
    not_ready: frozenset[int] = frozenset()
    avoided: frozenset[int] = frozenset()
    site_open: bool = True
    measure: Measure = Measure.EXACT

    @property
    def doses_in_pattern(self) -> int:
        """The doses of a full season, the one at planting among them."""
        return 1 + len(self.after_emergence_days)


def soil_share(soil: Soil) -> float:
    """Return the part of the usual amounts and limits that a soil bears."""
    return 1.0 if soil is Soil.NORMAL else rules().salty_or_dry_share


def plan_season(facts: SeasonFacts) -> SeasonPlan:
    """Return the plan that follows from the facts; a perennial's, where its rains are known.

    Dates that contradict each other are refused where they are entered, by `check_dates`; here
    they can only make a plan smaller.

    Raises:
        RefusedError: `legume`, `perennial`, `area`, `water` or `over-ceiling`.
    """
    share = soil_share(facts.soil)
    litres_per_m2 = facts.litres_per_m2 * share
    if not _has_rains(facts):
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
        # a perennial goes on bearing: the month before each picking is in its pattern
        first_harvest_on=date.max if facts.crop.perennial else harvest_on,
        share=Fraction(1) if facts.crop.perennial else facts.fraction,
    )
    pattern = _pattern(facts, emergence_on)
    slots = _slots(facts, pattern, cutoff_on=end.on)
    live = [slot for slot in slots if slot.reason is None]
    target = litres_per_m2 * facts.area_m2
    shares = share_out(
        target,
        numbers=[slot.number for slot in live],
        told=facts.told_litres,
        cap=dose_cap(target, doses=facts.doses_in_pattern),
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


def _has_rains(facts: SeasonFacts) -> bool:
    return facts.crop.perennial and rains_known(facts.spans)


def _pattern(facts: SeasonFacts, emergence_on: date) -> Mapping[int, date]:
    if not facts.crop.perennial:
        return pattern_days(
            facts.planted_on, emergence_on, after_emergence_days=facts.after_emergence_days
        )
    return perennial_pattern(
        facts.spans,
        first_on=facts.planted_on,
        last_on=add_days(facts.planted_on, facts.season_days or facts.crop.season_days),
        pick_on=facts.first_harvest_on,
    )


def water_on(facts: SeasonFacts, day: date) -> float:
    """Return the parts of water to one of urine on a day."""
    if not any(span.first_on <= day <= span.last_on for span in facts.spans):
        return facts.water_ratio
    season = season_on(day, facts.spans, otherwise=facts.spans[-1].season)
    return water_ratio(season, facts.water_chosen)


def _slots(facts: SeasonFacts, pattern: Mapping[int, date], *, cutoff_on: date) -> tuple[Slot, ...]:
    missed = {n: on for n, on in facts.missed.items() if n not in facts.not_ready}
    dropped = dict.fromkeys(facts.not_ready, DropReason.NOT_READY)
    if not (facts.crop.planting_dose or facts.transplanted):
        dropped[1] = DropReason.NO_PLANTING_DOSE
    if not facts.site_open:
        dropped = dict.fromkeys(pattern, DropReason.SITE)
    return place_doses(
        DayRules(
            pattern=pattern,
            fixed={**missed, **facts.given},
            given_on=tuple(facts.given.values()),
            dropped=dropped,
            holds=tuple((hold.first_on, hold.last_on) for hold in facts.holds),
            cutoff_on=cutoff_on,
            avoided=facts.avoided,
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
        water_litres=litres * water_on(facts, slot.on),
        closes_on=slot.on if given_on else closes_on(slot, live, cutoff_on=cutoff_on),
        given_on=given_on,
        usual_on=slot.usual_on,
        moved=slot.moved,
    )


def _warnings(litres_per_m2: float, share: float, shares: Shares) -> tuple[SeasonWarning, ...]:
    found = {
        SeasonWarning.OVER_3_L_PER_M2: is_over(litres_per_m2, rules().warn_litres_per_m2 * share),
        SeasonWarning.SHORTFALL: shares.too_few,
        SeasonWarning.NO_DOSE_FITS: not shares.litres,
    }
    return tuple(warning for warning, holds in found.items() if holds)
