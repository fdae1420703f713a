"""What a household's containers give to each dose still to come. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.allotment import Allotment, Ask, Stock, allot
from service.agronomy.containers import DoseKey
from service.agronomy.dosing import floor_to_step
from service.agronomy.regimes import Regime
from service.agronomy.season_plan import PlannedDose, SeasonPlan
from service.agronomy.supply import daily_litres, forecast_stocks
from service.planning.late import last_evening
from service.planning.season_facts import read_facts
from service.planning.stock import Can
from service.records.fields import DoseState
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle

_TO_COME = (DoseState.PLANNED, DoseState.DROPPED)  # a dropped one may come back into the plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An open planting with the plan computed from it."""

    bundle: PlantingBundle
    plan: SeasonPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdStock:
    """The doses still to come, what the cans hold or will hold, and what each dose gets."""

    asks: tuple[Ask, ...]
    stocks: tuple[Stock, ...]
    allotted: Mapping[DoseKey, Allotment]


def eaters_of(bundle: PlantingBundle) -> Regime:
    """Return who eats a planting's crop: as said for it, or as for the household."""
    return bundle.planting.regime or bundle.household.regime


def household_stock(
    plantings: Iterable[Planned], cans: Sequence[Can], *, today: date
) -> HouseholdStock:
    """Return what each dose of a household's plantings gets from its containers.

    Cans not sealed yet count from the day on which they are expected to be.
    """
    known = list(plantings)
    asks = tuple(ask for planned in known for ask in _asks(planned, today))
    store_c = cans[0].store_c if cans else None
    stocks = (
        *(
            Stock(
                can=can.container_id,
                sealed_on=can.sealed_on,
                litres=can.litres,
                longer_rest=can.standing.facts.longer_rest,
            )
            for can in cans
            if can.sealed_on is not None
        ),
        *(_expected(known[0].bundle.household, cans, today) if known else ()),
    )
    return HouseholdStock(
        asks=asks,
        stocks=stocks,
        allotted=allot(stocks, asks, store_c=store_c, rounded=floor_to_step),
    )


def _expected(household: HouseholdRow, cans: Sequence[Can], today: date) -> tuple[Stock, ...]:
    people = daily_litres(
        adults=household.adults, children=household.children, share=household.collected_share
    )
    return forecast_stocks([can.standing for can in cans], litres_a_day=people.usual, today=today)


def _asks(planned: Planned, today: date) -> Iterable[Ask]:
    bundle = planned.bundle
    planted_on = read_facts(bundle).planted_on
    rows = {row.number: row for row in bundle.doses}
    for dose in planned.plan.doses:
        row = rows.get(dose.number)
        told = row is not None and row.told
        if row is None or row.state in _TO_COME:
            yield Ask(
                dose=(bundle.planting.id, dose.number),
                due_on=dose.due_on,
                on=_pour_on(dose, planned.plan.doses, today, told=told),
                planted_on=planted_on,
                litres=dose.litres,
                regime=eaters_of(bundle),
                told=told,
            )


def _pour_on(dose: PlannedDose, doses: Sequence[PlannedDose], today: date, *, told: bool) -> date:
    # a dose still open draws on what is ready today; one that was not told in time, only on what
    # was ready when it still could be
    last_on = dose.closes_on if told else last_evening(dose, doses)
    return max(dose.due_on, min(today, last_on))
