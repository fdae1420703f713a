"""A household's plantings, cans and what each dose gets of them, on one day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.balance import Balance, household_balance
from service.agronomy.season import plan_season
from service.confirmations.plot_state import PlotState
from service.planning.allotting import HouseholdStock, Planned, household_stock
from service.planning.cans import cans_by_household
from service.planning.season_facts import read_facts, season_facts
from service.planning.stock import Can
from service.records.engine import Session
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle, open_plantings


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeStore:
    """What grows in a household and what its cans give; `states` are its open plantings."""

    household: HouseholdRow
    states: tuple[PlotState, ...]
    cans: tuple[Can, ...]
    stock: HouseholdStock
    today: date

    @property
    def planned(self) -> tuple[Planned, ...]:
        """The open plantings with their plans."""
        return tuple(Planned(bundle=state.bundle, plan=state.plan) for state in self.states)

    @property
    def numbers(self) -> Mapping[int, int]:
        """The number on each can, by its id."""
        return {can.container_id: can.number for can in self.cans}

    @property
    def balance(self) -> Balance:
        """How far the cans go for the doses still to come."""
        return household_balance(
            self.stock.asks,
            self.stock.allotted,
            areas_m2={state.bundle.planting.id: state.bundle.plot.area_m2 for state in self.states},
        )


def store_now(
    session: Session, association_id: int, household: HouseholdRow, *, today: date
) -> HomeStore:
    """Return what grows in a household and what its cans give to it."""
    own = (household.id,)
    cans = cans_by_household(session, association_id, today=today, households=own)
    return home_store(
        household,
        open_plantings(session, association_id, households=own),
        cans.get(household.id, ()),
        today=today,
    )


def home_store(
    household: HouseholdRow,
    bundles: Sequence[PlantingBundle],
    cans: tuple[Can, ...],
    *,
    today: date,
) -> HomeStore:
    """Return what a household's open plantings and its cans come to on a day."""
    states = tuple(
        PlotState(
            bundle=bundle,
            reports=read_facts(bundle),
            plan=plan_season(season_facts(bundle)),
            cans=cans,
        )
        for bundle in bundles
    )
    planned = [Planned(bundle=state.bundle, plan=state.plan) for state in states]
    return HomeStore(
        household=household,
        states=states,
        cans=cans,
        stock=household_stock(planned, cans, today=today),
        today=today,
    )
