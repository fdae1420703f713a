"""Why a season's plan says what it says, subject by subject. Pure."""

from service.agronomy.amount_chain import (
    area_chain,
    cap_chain,
    dose_amount_chain,
    dropped_amount_chain,
    shortfall_chain,
    target_chain,
)
from service.agronomy.day_chain import (
    cutoff_chain,
    emergence_chain,
    first_harvest_chain,
    planted_chain,
    season_chain,
)
from service.agronomy.dose_day_chain import (
    closing_chain,
    dose_day_chain,
    drop_chain,
    dropped_day_chain,
)
from service.agronomy.grounds import Case, Grounds
from service.agronomy.pour_chain import (
    nitrogen_chain,
    plant_chain,
    plants_chain,
    spread_chain,
    urine_sum_chain,
    water_chain,
    water_sum_chain,
)
from service.agronomy.reasons import About, Chain, Explanation, Subject
from service.agronomy.season import SeasonFacts
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan
from service.agronomy.stock_chain import explain_planned_harvest


def explain(facts: SeasonFacts, plan: SeasonPlan, grounds: Grounds | None = None) -> Explanation:
    """Return why each day and amount of a plan is as it is.

    Args:
        facts: what the plan was made from.
        plan: the plan of these facts; another one gives chains that do not end in its values.
        grounds: who told what; without them every figure counts as usual or as entered.
    """
    case = Case(facts=facts, plan=plan, grounds=grounds or Grounds())
    chains: dict[Subject, Chain] = {
        Subject(about=About.AREA): area_chain(case),
        Subject(about=About.PLANTED): planted_chain(case),
        Subject(about=About.EMERGENCE): emergence_chain(case),
        Subject(about=About.SEASON): season_chain(case),
        Subject(about=About.FIRST_HARVEST): first_harvest_chain(case),
        Subject(about=About.CUTOFF): cutoff_chain(case),
        Subject(about=About.TARGET): target_chain(case),
        Subject(about=About.CAP): cap_chain(case),
        Subject(about=About.PLANTS): plants_chain(case),
    }
    for dose in plan.doses:
        chains |= _dose(case, dose)
    for dropped in plan.dropped:
        chains |= _dropped(case, dropped)
    if plan.doses:
        chains |= _sums(case)
    if plan.shortfall_litres > 0:
        chains[Subject(about=About.SHORTFALL)] = shortfall_chain(case)
    return Explanation(chains=chains)


def _dose(case: Case, dose: PlannedDose) -> dict[Subject, Chain]:
    chains = {
        About.DOSE_DAY: dose_day_chain(case, dose),
        About.DOSE_AMOUNT: dose_amount_chain(case, dose),
        About.DOSE_WATER: water_chain(case, dose),
        About.DOSE_PLANT: plant_chain(case, dose),
    }
    if dose.given_on is None:
        chains[About.DOSE_CLOSES] = closing_chain(case, dose)
    return _numbered(dose.number, chains)


def _dropped(case: Case, dose: DroppedDose) -> dict[Subject, Chain]:
    return _numbered(
        dose.number,
        {
            About.DOSE_DAY: dropped_day_chain(case, dose),
            About.DOSE_DROP: drop_chain(case, dose),
            About.DOSE_AMOUNT: dropped_amount_chain(),
        },
    )


def _sums(case: Case) -> dict[Subject, Chain]:
    last = max(case.plan.doses, key=lambda dose: dose.due_on)
    return {
        Subject(about=About.TOTAL_URINE): urine_sum_chain(case),
        Subject(about=About.TOTAL_WATER): water_sum_chain(case),
        Subject(about=About.SPREAD): spread_chain(case),
        Subject(about=About.NITROGEN): nitrogen_chain(case),
        Subject(about=About.HARVEST): explain_planned_harvest(last.number, last.due_on),
    }


def _numbered(number: int, chains: dict[About, Chain]) -> dict[Subject, Chain]:
    return {Subject(about=about, number=number): chain for about, chain in chains.items()}
