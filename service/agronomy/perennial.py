"""A perennial's year: its litres split over the rains, with a month before each picking. Pure.

Each rain has its own days; no day is moved to make up for one that a picking takes out.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from service.agronomy.calendar import MONTH_DAYS, add_days, days_between
from service.agronomy.dosing import Season, dose_cap
from service.agronomy.shares import share_out
from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text
from service.agronomy.watering import SeasonSpan

_KEYS = frozenset({"first_after_days", "every_days"})
MOST_DOSES = 9  # a reply code has one digit


@dataclass(frozen=True, slots=True, kw_only=True)
class Rain:
    """A rainy spell, both ends included."""

    first_on: date
    last_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class PerennialRule:
    """Days from a rain's first to its first dose, and from each dose to the next."""

    first_after_days: int
    every_days: int
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class PerennialDose:
    """A part of the year's litres and its day."""

    number: int
    on: date
    litres: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PerennialShares:
    """The doses of a year, and the litres that the cap on one dose, or rounding, left over."""

    doses: tuple[PerennialDose, ...]
    shortfall_litres: float


def perennial_days(rains: Sequence[Rain], picks: Sequence[date]) -> tuple[date, ...]:
    """Return the days of the doses.

    A dose comes so many days after a rain begins and again while it lasts (project choice). None
    falls within the 30 days up to a picking (WHO 2006, vol. 4: one month), its day included;
    spells that touch count as one.

    Raises:
        ValueError: a rain ends before it begins.
    """
    rule = perennial_rule()
    days: list[date] = []
    for rain in _joined(rains):
        lasts = days_between(rain.first_on, rain.last_on)
        days += [
            add_days(rain.first_on, after)
            for after in range(rule.first_after_days, lasts + 1, rule.every_days)
        ]
    return tuple(
        day for day in days if not any(0 <= days_between(day, pick) < MONTH_DAYS for pick in picks)
    )


def perennial_pattern(
    spans: Sequence[SeasonSpan], *, first_on: date, last_on: date, pick_on: date | None
) -> Mapping[int, date]:
    """Return the days of a year's doses by number, from the rains among some spans."""
    rains = [
        Rain(first_on=span.first_on, last_on=span.last_on)
        for span in spans
        if span.season is Season.RAINS
    ]
    days = perennial_days(rains, () if pick_on is None else (pick_on,))
    within = [day for day in days if first_on <= day <= last_on]
    return dict(enumerate(within[:MOST_DOSES], start=1))


def perennial_shares(
    litres: float, days: Sequence[date], *, rounded: Callable[[float], float] = float
) -> PerennialShares:
    """Return equal parts of a year's litres, none above the cap of a season's dose.

    Args:
        litres: for the year and the whole plot.
        days: of the doses, in their order.
        rounded: rounds a part down; what it takes off goes to the doses after it.
    """
    shares = share_out(
        litres,
        numbers=range(1, len(days) + 1),
        told={},
        cap=dose_cap(litres),
        rounded=rounded,
    )
    return PerennialShares(
        doses=tuple(
            PerennialDose(number=number, on=on, litres=shares.litres[number])
            for number, on in enumerate(days, start=1)
        ),
        shortfall_litres=shares.shortfall_litres,
    )


@cache
def perennial_rule() -> PerennialRule:
    """Return the days of perennials."""
    return load_perennial_rule(table_text("perennial.toml"))


def load_perennial_rule(text: str) -> PerennialRule:
    """Return the figures of a table's text.

    Raises:
        TableError: a key is missing, unknown or of the wrong kind.
    """
    raw = read_tables("perennial.toml", text)
    if raw.keys() != {"rains"}:
        raise TableError("perennial.toml: write one table, rains.")
    group = Group("perennial.toml, rains", raw["rains"], _KEYS)
    if not group.whole("every_days"):
        raise TableError("perennial.toml, rains: every_days must be more than 0.")
    return PerennialRule(
        first_after_days=group.whole("first_after_days"),
        every_days=group.whole("every_days"),
        origin=group.origin,
    )


def _joined(rains: Sequence[Rain]) -> list[Rain]:
    found: list[Rain] = []
    for rain in sorted(rains, key=lambda each: each.first_on):
        if rain.last_on < rain.first_on:
            raise ValueError("a rain ends on the day it begins or later")
        if found and rain.first_on <= add_days(found[-1].last_on, 1):
            last = found.pop()
            found.append(Rain(first_on=last.first_on, last_on=max(last.last_on, rain.last_on)))
        else:
            found.append(rain)
    return found
