"""The shape of a season: what its plan holds before a day or an area is known. Pure.

Plantings with the same figures and the same days from planting to emergence and harvest share a
shape. `plan_season` makes it once, so that there is one set of rules for one plan and for many.
"""

from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from service.agronomy.calendar import MONTH_DAYS, add_days, days_between
from service.agronomy.crops import Crop
from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.dosing import dose_cap, floor_to_step
from service.agronomy.rules import rules
from service.agronomy.season import (
    Hold,
    Measure,
    SeasonFacts,
    plan_season,
    soil_share,
)
from service.agronomy.season_end import KEPT, SeasonDays, end_of, forget_ends
from service.agronomy.season_plan import SeasonWarning
from service.agronomy.shares import Shares, share_out

WEEK_DAYS = 7
_A_MONDAY = date(2027, 1, 4)  # of a date only its distance to weekdays can matter
_AN_AREA_M2 = 100.0
_A_LONG_SEASON_DAYS = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseShape:
    """A dose of the plan, in days after planting."""

    number: int
    due_days: int
    closes_days: int
    usual_days: int
    moved: tuple[MoveReason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DropShape:
    """A dose that a rule took out, with the day it would have had, in days after planting."""

    number: int
    due_days: int
    reason: DropReason


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The doses of a season's plan without their days and litres; `numbers` are of those kept.

    `first_due_days` and `first_closes_days` are the least of any dose kept; None without one.
    """

    doses: tuple[DoseShape, ...]
    dropped: tuple[DropShape, ...]
    numbers: tuple[int, ...]
    first_due_days: int | None
    first_closes_days: int | None
    warnings: tuple[SeasonWarning, ...]


class _Look(NamedTuple):
    """All that a shape follows from: a tuple, since one is hashed for each planting."""

    crop: Crop
    after_emergence_days: tuple[int, ...]
    emergence_days: int
    cutoff_days: int
    transplanted: bool | None
    holds: tuple[tuple[int, int], ...]
    avoided: frozenset[int]
    site_open: bool


def is_plain(facts: SeasonFacts) -> bool:
    """Say whether no dose has been given, missed, told or left without a container yet."""
    return not (facts.given or facts.missed or facts.told_litres or facts.not_ready)


def season_shape(facts: SeasonFacts, days: SeasonDays) -> Shape:
    """Return the shape of a season with these days, and plain facts otherwise.

    Raises:
        RefusedError: `legume` or `perennial`.
    """
    planted_on, crop, after = days.planted_on, facts.crop, facts.after_emergence_days
    up_days, cutoff_days = crop.emergence_days, end_of(facts, days).cutoff_days
    if days.emerged_on is not None:
        up_days = max(0, days_between(planted_on, days.emerged_on))
    if not facts.holds:
        # a cut-off after the last day of the last dose is as good as any later one
        cutoff_days = min(cutoff_days, up_days + _last_days(after))
    avoided, weekday = facts.avoided, planted_on.weekday()
    if avoided:
        avoided = frozenset((day - weekday) % WEEK_DAYS for day in avoided)
    holds: tuple[tuple[int, int], ...] = ()
    if facts.holds:
        holds = tuple(
            (days_between(planted_on, hold.first_on), days_between(planted_on, hold.last_on))
            for hold in facts.holds
        )
    return _shape(
        _Look(
            _bare(crop),
            after,
            up_days,
            cutoff_days,
            facts.transplanted,
            holds,
            avoided,
            facts.site_open,
        )
    )


def target_litres(facts: SeasonFacts, *, area_m2: float) -> float:
    """Return the season's litres for a plot of an area."""
    return facts.litres_per_m2 * soil_share(facts.soil) * area_m2


def shape_shares(shape: Shape, facts: SeasonFacts, *, area_m2: float) -> Shares:
    """Return the litres of a plain season's doses by their place, from 0, among those kept."""
    target, kept = target_litres(facts, area_m2=area_m2), len(shape.doses)
    return _shares(target, kept, facts.doses_in_pattern, facts.measure)


def shapes_seen() -> tuple[int, int]:
    """Return how often a shape was found ready, and how often it had to be made."""
    info = _shape.cache_info()
    return info.hits, info.misses


def forget_shapes() -> None:
    """Forget every shape and share, so that the next plan starts as in a new process."""
    forget_ends()
    for cached in (_shape, _shares, _bare, _first_alike):
        cached.cache_clear()


@lru_cache(maxsize=KEPT)
def _bare(crop: Crop) -> Crop:
    """Return a crop without what bears on no dose once emergence and cut-off are known."""
    bare = replace(
        crop,
        id="any",
        season_days=1,
        emergence_days=0,
        first_harvest_days=1,
        picked_repeatedly=False,
        transplanted=False,
        row_cm=1,
        plant_cm=1,
        needs_drained=False,
        eaten_raw=False,
        origins={},
    )
    return _first_alike(bare)


@lru_cache(maxsize=KEPT)
def _first_alike(crop: Crop) -> Crop:
    return crop  # one and the same object is found sooner than one that is only equal


@lru_cache(maxsize=KEPT)
def _last_days(after: tuple[int, ...]) -> int:
    """Return the days after emergence in which every dose has closed, holds left aside."""
    gap = rules().min_gap_days
    steps = (later - sooner for sooner, later in pairwise((0, *after)))
    # a day to avoid moves a dose by one; doses closer than the gap push one another on
    is_roomy = all(step >= gap + 2 for step in steps)
    pushed = 1 if is_roomy else (gap + 1) * (1 + len(after))
    return max(after, default=0) + pushed + rules().window_days


@lru_cache(maxsize=KEPT)
def _shape(look: _Look) -> Shape:
    plan = plan_season(
        SeasonFacts(
            crop=look.crop,
            planted_on=_A_MONDAY,
            area_m2=_AN_AREA_M2,
            after_emergence_days=look.after_emergence_days,
            emerged_on=add_days(_A_MONDAY, look.emergence_days),
            # a season so long that the month before its first harvest sets the cut-off
            first_harvest_on=add_days(_A_MONDAY, look.cutoff_days + MONTH_DAYS),
            season_days=_A_LONG_SEASON_DAYS,
            transplanted=look.transplanted,
            holds=tuple(
                Hold(first_on=add_days(_A_MONDAY, first), last_on=add_days(_A_MONDAY, last))
                for first, last in look.holds
            ),
            avoided=look.avoided,
            site_open=look.site_open,
        )
    )
    doses = tuple(
        DoseShape(
            number=dose.number,
            due_days=days_between(_A_MONDAY, dose.due_on),
            closes_days=days_between(_A_MONDAY, dose.closes_on),
            usual_days=days_between(_A_MONDAY, dose.usual_on),
            moved=dose.moved,
        )
        for dose in plan.doses
    )
    return Shape(
        doses=doses,
        dropped=tuple(
            DropShape(
                number=dose.number,
                due_days=days_between(_A_MONDAY, dose.due_on),
                reason=dose.reason,
            )
            for dose in plan.dropped
        ),
        numbers=tuple(dose.number for dose in doses),
        first_due_days=min((dose.due_days for dose in doses), default=None),
        first_closes_days=min((dose.closes_days for dose in doses), default=None),
        warnings=plan.warnings,
    )


@lru_cache(maxsize=KEPT)
def _shares(target: float, kept: int, doses: int, measure: Measure) -> Shares:
    return share_out(
        target,
        numbers=range(kept),
        told={},
        cap=dose_cap(target, doses=doses),
        rounded=floor_to_step if measure is Measure.GROWER else float,
    )
