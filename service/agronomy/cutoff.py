"""The first harvest, the last day on which a dose may be given, and the rule that sets it."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from math import floor

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.agronomy.crops import Crop


class CutoffRule(StrEnum):
    """Which of the two rules sets the last day."""

    SHARE_OF_SEASON = "share-of-season"
    ONE_MONTH = "one-month"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutoff:
    """The last day for a dose."""

    on: date
    rule: CutoffRule


def first_harvest(crop: Crop, planted_on: date, *, season_days: int, known_on: date | None) -> date:
    """Return the first harvest: as known or by the crop table, never after the season's end."""
    end_on = add_days(planted_on, season_days)
    usual_on = end_on
    if crop.picked_repeatedly:
        usual_on = add_days(planted_on, crop.first_harvest_days)
    return min(end_on, known_on or usual_on)


def cutoff(
    planted_on: date, *, season_days: int, first_harvest_on: date, share: Fraction
) -> Cutoff:
    """Return the earlier of a share of the season and one month before the first harvest.

    The share is agronomy (Joensson et al. 2004: 2/3 to 3/4), the month hygiene (WHO 2006,
    vol. 4). Where both fall on one day, the share is named.
    """
    by_share = add_days(planted_on, floor(share * season_days))
    by_month = add_days(first_harvest_on, -MONTH_DAYS)
    if by_month < by_share:
        return Cutoff(on=by_month, rule=CutoffRule.ONE_MONTH)
    return Cutoff(on=by_share, rule=CutoffRule.SHARE_OF_SEASON)
