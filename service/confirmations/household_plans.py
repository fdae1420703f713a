"""The plans of a household before and after something changed that they follow from."""

from collections.abc import Mapping
from dataclasses import dataclass

from service.agronomy.season import plan_season
from service.agronomy.season_plan import SeasonPlan
from service.confirmations.closing import replan_household
from service.confirmations.outcomes import Desk
from service.confirmations.staff_outcomes import Replanned
from service.planning.season_facts import season_facts
from service.records.plantings import open_plantings


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """A household's open plantings with their plans, before the change."""

    household_id: int
    plans: Mapping[int, SeasonPlan]


def plans_before(desk: Desk, household_id: int) -> Before:
    """Return the plans of a household as they are now."""
    bundles = open_plantings(desk.session, desk.association_id, households=(household_id,))
    return Before(
        household_id=household_id,
        plans={bundle.planting.id: plan_season(season_facts(bundle)) for bundle in bundles},
    )


def plans_after(desk: Desk, before: Before) -> tuple[Replanned, ...]:
    """Write a household's plans anew, and return them beside those of before."""
    desk.session.flush()
    replan_household(desk, before.household_id)
    bundles = open_plantings(desk.session, desk.association_id, households=(before.household_id,))
    return tuple(
        Replanned(
            planting_id=bundle.planting.id,
            letter=bundle.plot.letter,
            crop=bundle.planting.crop,
            before=before.plans[bundle.planting.id],
            after=plan_season(season_facts(bundle)),
        )
        for bundle in bundles
    )
