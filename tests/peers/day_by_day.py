"""A second planner that walks a season one day at a time; it shares no code with the service.

Days are counted as whole numbers. Each day the dose whose turn it is falls, waits or is dropped.
A dose that comes out of a hold is let go where one given or closed is near. Else it is promised:
the walk goes on without it, and it is kept when five days pass before the next dose falls.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from tests.peers.crop_days import CROPS

# Common practice, no source: a dose at planting, then so many days after emergence.
PATTERN_DAYS = {2: 7, 3: 14, 4: 21, 5: 28, 6: 42, 7: 56}
GAP_DAYS = 5  # project choice, no source: the least days between two doses
OPEN_DAYS = 6  # project choice, no source: days that a dose stays open after its own
MONTH = 30  # WHO 2006, vol. 4 (from memory): one month from the last urine to the harvest
CAP_SHARES = 2  # project choice, no source: no dose above twice a seventh of the season
POOR_SOIL_SHARE = 0.5  # project choice, no source: salty or dry ground bears half


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A planting and all that was reported about it; `not_done` are of the `missed`."""

    crop: str
    planted: date
    area_m2: float
    litres_per_m2: float = 1.5
    soil: str = "normal"
    eaters: str = "general"
    emerged: date | None = None
    first_harvest: date | None = None
    season_days: int | None = None
    fraction: Fraction = Fraction(2, 3)
    transplanted: bool | None = None
    given: Mapping[int, date] = field(default_factory=dict)
    missed: Mapping[int, date] = field(default_factory=dict)
    not_done: frozenset[int] = frozenset()
    told: Mapping[int, float] = field(default_factory=dict)
    not_ready: frozenset[int] = frozenset()
    holds: tuple[tuple[date, date], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """What came of a walk: day, last open day and litres by dose, and what was dropped."""

    falls: Mapping[int, date]
    closes: Mapping[int, date]
    litres: Mapping[int, float]
    dropped: Mapping[int, tuple[date, str]]
    cutoff: date
    cutoff_rule: str
    emergence: date
    first_harvest: date
    target: float
    shortfall: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rules:
    """What is known before the walk starts; days are counted, both ends of a hold included."""

    earliest: Mapping[int, int]
    facts: Mapping[int, int]
    poured: frozenset[int]
    shut: frozenset[int]
    cutoff: int
    bare: bool
    not_ready: frozenset[int]

    def crowded(self, day: int, last: int | None) -> bool:
        """Say whether a dose fell, or was poured out of turn, on this day or the four before."""
        near = range(day - GAP_DAYS + 1, day + 1)
        return (last is not None and day < last + GAP_DAYS) or not self.poured.isdisjoint(near)

    def fact_near(self, day: int) -> bool:
        """Say whether a dose that stands already is less than five days off, on either side."""
        return any(abs(day - fact) < GAP_DAYS for fact in self.facts.values())

    def refusal(self, number: int, day: int) -> str | None:
        """Return why a dose may not fall on the day that it has come to."""
        if self.bare and number == 1:
            return "no-planting-dose"
        if day > self.cutoff:
            return "after-cutoff"
        return "not-ready" if number in self.not_ready else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """Where the walk stands; `due` is the day the dose in turn had before a hold took it."""

    day: int
    waiting: tuple[int, ...]
    last: int | None
    falls: Mapping[int, int]
    dropped: Mapping[int, tuple[int, str]]
    due: int | None = None

    def pour(self, number: int, day: int) -> "_Step":
        reached = day if self.last is None else max(day, self.last)
        falls = {**self.falls, number: day}
        return replace(self, waiting=self.waiting[1:], last=reached, falls=falls, due=None)

    def drop(self, number: int, day: int, reason: str) -> "_Step":
        dropped = {**self.dropped, number: (day, reason)}
        return replace(self, day=day, waiting=self.waiting[1:], dropped=dropped, due=None)


def walk(plot: Plot) -> Walked:
    """Return what a plot is given, day by day."""
    table = CROPS[plot.crop]
    planted = plot.planted.toordinal()
    emergence = planted + table.emergence
    if plot.emerged is not None:
        emergence = max(planted, plot.emerged.toordinal())
    season = plot.season_days or table.season
    harvest = planted + min(season, table.first_pick or season)
    if plot.first_harvest is not None:
        harvest = min(planted + season, plot.first_harvest.toordinal())
    by_share = planted + plot.fraction.numerator * season // plot.fraction.denominator
    by_month = harvest - MONTH
    cutoff = min(by_share, by_month)
    given = {number: on.toordinal() for number, on in plot.given.items()}
    closed = {n: on.toordinal() for n, on in plot.missed.items() if n not in plot.not_ready}
    end = _walk_days(
        _Rules(
            earliest={1: planted, **{n: emergence + after for n, after in PATTERN_DAYS.items()}},
            facts=closed | given,
            poured=frozenset(given.values()),
            shut=frozenset(
                day
                for first, last in plot.holds
                for day in range(first.toordinal(), last.toordinal() + 1)
            ),
            cutoff=cutoff,
            bare=table.sown_bare and not plot.transplanted,
            not_ready=plot.not_ready,
        )
    )
    target = plot.area_m2 * plot.litres_per_m2
    if plot.soil != "normal":
        target *= POOR_SOIL_SHARE
    litres = _litres(target, end.falls, plot.told)
    return Walked(
        falls={n: date.fromordinal(day) for n, day in end.falls.items()},
        closes={n: date.fromordinal(_closes(n, end.falls, given, cutoff)) for n in end.falls},
        litres=litres,
        dropped={n: (date.fromordinal(day), why) for n, (day, why) in end.dropped.items()},
        cutoff=date.fromordinal(cutoff),
        cutoff_rule="one-month" if by_month < by_share else "share-of-season",
        emergence=date.fromordinal(emergence),
        first_harvest=date.fromordinal(harvest),
        target=target,
        shortfall=max(0.0, target - sum(litres.values())),
    )


def harvest_from(plot: Plot, walked: Walked, today: date) -> date | None:
    """Return the first safe day to harvest: a month after the last urine that may be there."""
    counted = [on for number, on in walked.falls.items() if number in plot.given]
    for number, on in walked.falls.items():
        if number not in plot.given and number not in plot.not_done and on <= today:
            counted.append(walked.closes[number])
    return date.fromordinal(max(counted).toordinal() + MONTH) if counted else None


def _walk_days(rules: _Rules) -> _Step:
    step = _Step(day=rules.earliest[1], waiting=tuple(range(1, 8)), last=None, falls={}, dropped={})
    promised: list[tuple[int, _Step]] = []
    while step.waiting or promised:
        if not step.waiting:
            step = _settle(step, promised, None)
            continue
        number, day = step.waiting[0], step.day
        if number in rules.facts:
            step = step.pour(number, rules.facts[number])
        elif day < rules.earliest[number] or (step.due is None and rules.crowded(day, step.last)):
            step = replace(step, day=day + 1)
        elif step.due is None and (reason := rules.refusal(number, day)) is not None:
            step = step.drop(number, day, reason)
        elif day in rules.shut:
            step = replace(step, day=day + 1, due=step.due or day)
        elif step.due is None:
            step = _settle(step.pour(number, day), promised, day)
        else:
            if day <= rules.cutoff and not rules.fact_near(day):
                promised.append((day, step.pour(number, day)))
            step = step.drop(number, step.due, "hold")
    return step


def _settle(step: _Step, promised: list[tuple[int, _Step]], fell: int | None) -> _Step:
    # the youngest promise first: once it is kept, it is itself what follows the one before it
    while promised:
        day, kept = promised.pop()
        if fell is None or fell - day >= GAP_DAYS:
            step, fell = kept, day
    return step


def _closes(number: int, falls: Mapping[int, int], given: Mapping[int, int], cutoff: int) -> int:
    last = falls[number]
    while (
        number not in given
        and last < falls[number] + OPEN_DAYS
        and last < cutoff
        and last + 1 not in falls.values()
    ):
        last += 1
    return last


def _litres(
    target: float, falls: Mapping[int, int], told: Mapping[int, float]
) -> Mapping[int, float]:
    litres = {number: told[number] for number in falls if number in told}
    still = [number for number in falls if number not in told]
    if still:
        each = max(0.0, target - sum(litres.values())) / len(still)
        litres |= dict.fromkeys(still, min(each, CAP_SHARES * target / 7))
    return litres
