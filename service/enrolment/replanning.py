"""A household's open plantings, planned anew."""

from collections.abc import Collection

from service.agronomy.season import SeasonPlan
from service.confirmations.outcomes import Desk
from service.planning.cans import cans_by_household
from service.planning.refresh import refresh_planting
from service.planning.stock import Can
from service.records.plantings import association, open_plantings


def cans_of(desk: Desk, household_id: int) -> tuple[Can, ...]:
    """Return how a household's containers stand today."""
    row = association(desk.session, desk.association_id)
    found = cans_by_household(desk.session, row, today=desk.today, households=(household_id,))
    return found.get(household_id, ())


def plan_anew(
    desk: Desk, household_id: int, *, plantings: Collection[int] | None = None
) -> dict[int, SeasonPlan]:
    """Return the plans of a household's open plantings, or of these, as just written down."""
    cans = cans_of(desk, household_id)
    if plantings is None:
        bundles = open_plantings(desk.session, desk.association_id, households=(household_id,))
        plantings = [bundle.planting.id for bundle in bundles]
    return {
        planting_id: refresh_planting(
            desk.session,
            desk.association_id,
            planting_id,
            cans=cans,
            today=desk.today,
            now=desk.now,
        )
        for planting_id in plantings
    }
