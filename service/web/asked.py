"""A planting whose days and amounts are asked about, with the reasons of the pure core."""

from dataclasses import dataclass
from functools import partial

from service.agronomy.reasons import Chain, Explanation
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.stock_chain import explain_allotment
from service.confirmations.plot_state import PlotState
from service.planning.allotting import HouseholdStock, Planned, household_stock
from service.planning.season_facts import season_facts
from service.records.engine import Session
from service.records.plantings import open_plantings
from service.web.entered_figures import explained
from service.web.planting_sheet import Reader, code_of
from service.web.reason_words import Naming


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """For whom a planting is written out, and the words for its crop and what is poured on it."""

    reader: Reader
    crop: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A planting that is asked about.

    Attributes:
        facts: what its plan follows from.
        why: the reasons of its days and amounts.
        stock: the turns at the household's containers.
    """

    state: PlotState
    spoken: Spoken
    facts: SeasonFacts
    why: Explanation
    stock: HouseholdStock

    @property
    def reader(self) -> Reader:
        """For whom it is written out."""
        return self.spoken.reader

    @property
    def naming(self) -> Naming:
        """How its days, doses, cans and crop are named."""
        return Naming(
            day=self.reader.day,
            code=partial(code_of, self.state),
            cans={can.container_id: can.number for can in self.state.cans},
            crop=self.spoken.crop,
            what=self.spoken.what,
        )

    def stock_chain(self, number: int) -> Chain:
        """Return what a dose gets from the containers, nothing where it asks for nothing."""
        key = (self.state.bundle.planting.id, number)
        ask = next((ask for ask in self.stock.asks if ask.dose == key), None)
        if ask is None:
            return ()
        return explain_allotment(ask, self.stock.allotted[key], self.stock.asks)


def ask_why(session: Session, state: PlotState, spoken: Spoken) -> Asked:
    """Return a planting with all that its reasons are told from."""
    bundle, today = state.bundle, spoken.reader.today
    own = open_plantings(session, bundle.planting.association_id, households=(bundle.household.id,))
    planned = [Planned(bundle=each, plan=plan_season(season_facts(each))) for each in own]
    return Asked(
        state=state,
        spoken=spoken,
        facts=season_facts(bundle),
        why=explained(session, state),
        stock=household_stock(planned, state.cans, today=today),
    )
