"""A season's plan from its shape: what `plan_season` returns, sooner where plantings are alike."""

from datetime import date
from functools import lru_cache

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.refusals import check_area, check_water_ratio
from service.agronomy.season import SeasonFacts, Soil, plan_season, water_on
from service.agronomy.season_end import KEPT, days_of, end_of
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan, SeasonWarning
from service.agronomy.shape import (
    Shape,
    is_plain,
    season_shape,
    shape_shares,
    target_litres,
)
from service.agronomy.shares import Shares
from service.errors import RefusedError


def plan_by_shape(facts: SeasonFacts) -> SeasonPlan:
    """Return what `plan_season` returns; facts of a season under way are handed on to it.

    Raises:
        RefusedError: as `plan_season`.
    """
    if not is_plain(facts):
        return plan_season(facts)
    try:
        check_bounds(facts)
        shape = season_shape(facts, days_of(facts))
    except RefusedError:
        return plan_season(facts)  # of several faults it names the first
    return plan_until(shape, facts, last_on=date.max)


def plan_until(shape: Shape, facts: SeasonFacts, *, last_on: date) -> SeasonPlan:
    """Return the plan of plain facts from their shape, with its doses up to a day only."""
    planted_on, crop, end = facts.planted_on, facts.crop, end_of(facts, days_of(facts))
    shares = shape_shares(shape, facts, area_m2=facts.area_m2)
    up_on = facts.emerged_on or add_days(planted_on, crop.emergence_days)
    found = {*shape.warnings, *_amount_warnings(facts.litres_per_m2, facts.soil)}
    return SeasonPlan(
        doses=_doses(shape, facts, shares, last_on),
        dropped=tuple(
            DroppedDose(
                number=drop.number,
                due_on=add_days(planted_on, drop.due_days),
                reason=drop.reason,
            )
            for drop in shape.dropped
        ),
        cutoff_on=add_days(planted_on, end.cutoff_days),
        cutoff_rule=end.cutoff_rule,
        emergence_on=max(planted_on, up_on),
        emergence_assumed=facts.emerged_on is None,
        first_harvest_on=add_days(planted_on, end.first_harvest_days),
        season_days=facts.season_days or crop.season_days,
        target_litres=target_litres(facts, area_m2=facts.area_m2),
        shortfall_litres=shares.shortfall_litres,
        warnings=tuple(warning for warning in SeasonWarning if warning in found),
    )


def check_bounds(facts: SeasonFacts) -> None:
    """Refuse the area, water or amount that `plan_season` refuses; a shape has none of them.

    Raises:
        RefusedError: `area`, `water` or `over-ceiling`.
    """
    check_area(facts.area_m2)
    check_water_ratio(facts.water_ratio)
    _amount_warnings(facts.litres_per_m2, facts.soil)


def _doses(
    shape: Shape, facts: SeasonFacts, shares: Shares, last_on: date
) -> tuple[PlannedDose, ...]:
    planted_on, litres_of, found = facts.planted_on, shares.litres, []
    for place, dose in enumerate(shape.doses):
        due_on, litres = add_days(planted_on, dose.due_days), litres_of[place]
        if due_on > last_on:
            continue
        found.append(
            PlannedDose(
                number=dose.number,
                due_on=due_on,
                litres=litres,
                water_litres=litres * water_on(facts, due_on),
                closes_on=add_days(planted_on, dose.closes_days),
                given_on=None,
                usual_on=add_days(planted_on, dose.usual_days),
                moved=dose.moved,
            )
        )
    return tuple(found)


@lru_cache(maxsize=KEPT)
def _amount_warnings(litres_per_m2: float, soil: Soil) -> tuple[SeasonWarning, ...]:
    """Return the warnings that the amount alone gives, in a season as long as one likes.

    Raises:
        RefusedError: `over-ceiling`.
    """
    plan = plan_season(
        SeasonFacts(
            crop=crop("maize-grain"),  # a crop that warns of nothing by itself
            planted_on=date(2027, 1, 4),  # any day will do
            area_m2=100,
            litres_per_m2=litres_per_m2,
            soil=soil,
            season_days=100_000,
        )
    )
    return plan.warnings
