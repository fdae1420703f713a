"""A household's open plantings, planned anew."""

from service.agronomy.season_plan import SeasonPlan
from service.confirmations.outcomes import Desk
from service.planning.cans import cans_by_household
from service.planning.refresh import refresh_household
from service.planning.stock import Can


def cans_of(desk: Desk, household_id: int) -> tuple[Can, ...]:
    """Return how a household's containers stand today."""
    found = cans_by_household(
        desk.session, desk.association_id, today=desk.today, households=(household_id,)
    )
    return found.get(household_id, ())


def plan_anew(desk: Desk, household_id: int) -> dict[int, SeasonPlan]:
    """Return the plans of a household's open plantings as just written down, by planting."""
    return refresh_household(
        desk.session, desk.association_id, household_id, today=desk.today, now=desk.now
    )
