"""What every act for an area shares: who does it, where, and the plans made anew with it."""

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from service.agronomy.season import plan_season
from service.agronomy.season_plan import SeasonPlan
from service.confirmations.outcomes import Desk
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.locality_entries import Replanned
from service.enrolment.moves import Plans, moves, watered
from service.enrolment.replanning import plan_anew
from service.planning.season_facts import season_facts
from service.records.enrolment import find_area
from service.records.locality_acts import Noted
from service.records.locality_lists import planted_households
from service.records.plantings import open_plantings

Made = TypeVar("Made")


def with_new_plans(
    desk: Desk, area_id: int | None, act: Callable[[], Made]
) -> tuple[Made, Replanned]:
    """Return what the act made, and what the plans of the area (None: of all) became by it.

    Only households whose plans it changes are written anew: the others would come out the same.
    """
    before = _plans(desk, area_id)
    made = act()
    after = _plans(desk, area_id)
    households = {home for home, plans in after.items() if plans != before.get(home)}
    return made, _written(desk, sorted(households), before, after)


def with_every_household(
    desk: Desk, area_id: int, act: Callable[[], Made]
) -> tuple[Made, Replanned]:
    """Do the same for an act that changes what the cans can give, and not the plans' own days."""
    before = _plans(desk, area_id)
    made = act()
    return made, _written(desk, sorted(before), before, _plans(desk, area_id))


def _plans(desk: Desk, area_id: int | None) -> dict[int, dict[int, SeasonPlan]]:
    households = planted_households(desk.session, desk.association_id, area_id=area_id)
    found: dict[int, dict[int, SeasonPlan]] = {home: {} for home in households}
    for bundle in open_plantings(desk.session, desk.association_id, households=households):
        plan = plan_season(season_facts(bundle))
        found[bundle.household.id][bundle.planting.id] = plan
    return found


def _written(
    desk: Desk,
    households: Sequence[int],
    before: Mapping[int, Plans],
    after: Mapping[int, Plans],
) -> Replanned:
    for household_id in households:
        plan_anew(desk, household_id)
    was, now = _together(before), _together(after)
    return Replanned(households=len(households), moved=moves(was, now), watered=watered(was, now))


def _together(plans: Mapping[int, Plans]) -> dict[int, SeasonPlan]:
    return {planting_id: plan for each in plans.values() for planting_id, plan in each.items()}


def area_faults(desk: Desk, area_id: int | None) -> tuple[Fault, ...]:
    """Return why nothing can be entered for an area: the association has none such."""
    if area_id is None or find_area(desk.session, desk.association_id, area_id) is not None:
        return ()
    return (Fault(field="area_id", code=FaultCode.NO_SUCH_AREA),)


def noted_by(desk: Desk) -> Noted:
    """Return who does it, and when."""
    return Noted(who=desk.noted_by or "", at=desk.now)
