"""The days of a season and where it ends, found once for all plantings that are alike. Pure."""

from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import Crop
from service.agronomy.cutoff import CutoffRule, cutoff, first_harvest
from service.agronomy.season import SeasonFacts

KEPT = 65_536
_A_DAY = date(2027, 1, 4)  # any day will do


class SeasonDays(NamedTuple):
    """What plantings that are alike otherwise may differ in, and their shapes with it."""

    planted_on: date
    emerged_on: date | None
    first_harvest_on: date | None
    season_days: int | None


class SeasonEnd(NamedTuple):
    """The first harvest and the last day of a dose, in days after planting."""

    first_harvest_days: int
    cutoff_days: int
    cutoff_rule: CutoffRule


def days_of(facts: SeasonFacts) -> SeasonDays:
    """Return the days of a season's facts."""
    return SeasonDays(facts.planted_on, facts.emerged_on, facts.first_harvest_on, facts.season_days)


def end_of(facts: SeasonFacts, days: SeasonDays) -> SeasonEnd:
    """Return where a season with these days ends; no crop that bears for years has such an end."""
    planted_on, _, harvest_on, season_days = days
    known = None if harvest_on is None else days_between(planted_on, harvest_on)
    share = facts.fraction.as_integer_ratio()  # two numbers are looked up sooner than a fraction
    return _end(facts.crop, season_days or facts.crop.season_days, known, share)


def forget_ends() -> None:
    """Forget every end found so far."""
    _end.cache_clear()


@lru_cache(maxsize=KEPT)
def _end(crop: Crop, season_days: int, known_days: int | None, share: tuple[int, int]) -> SeasonEnd:
    harvest_on = first_harvest(
        crop,
        _A_DAY,
        season_days=season_days,
        known_on=None if known_days is None else add_days(_A_DAY, known_days),
    )
    end = cutoff(
        _A_DAY, season_days=season_days, first_harvest_on=harvest_on, share=Fraction(*share)
    )
    return SeasonEnd(days_between(_A_DAY, harvest_on), days_between(_A_DAY, end.on), end.rule)
