"""One new fact: its household alone is planned and stored, however large the association is."""

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median
from time import perf_counter

from sqlalchemy import select

from service.agronomy.calendar import add_days
from service.planning.bulk import plan_all
from service.planning.refresh import refresh_household
from service.records.fields import DoseRow, FactKind, PlantingFactRow, PlantingRow, PlotRow, Source
from tests.bench.common import Line, Setting, interleave, ratio_line, short_number
from tests.bench.estate import ASSOCIATION, NOW, Estate, Place
from tests.bench.life import OPENS_ON

SMALL = 10_000
FACTS_A_ROUND = 40
ROUNDS = 5
STRIDE = 7_919  # a prime: the plots touched lie far apart, so none is in a cache by luck


@dataclass(kw_only=True)
class News:
    """Facts that come in one by one on one association."""

    place: Place
    told: int = 0

    def prepare(self) -> None:
        """Store the doses, where no benchmark before has, and warm up."""
        with self.place.sessions.begin() as session:
            if session.scalar(select(DoseRow.id).limit(1)) is None:
                plan_all(session, ASSOCIATION, today=OPENS_ON, now=NOW)
        self.place.vacuum()
        self.a_round()

    def a_round(self) -> float:
        """Return the median seconds from a fact to its household's doses, stored."""
        return median(self._a_fact() for _ in range(FACTS_A_ROUND))

    def _a_fact(self) -> float:
        self.told += 1
        planting_id = self.told * STRIDE % self.place.plots + 1
        began = perf_counter()
        with self.place.sessions.begin() as session:
            planting, household_id = session.execute(
                select(PlantingRow, PlotRow.household_id)
                .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
                .where(PlantingRow.id == planting_id)
            ).one()
            session.add(
                PlantingFactRow(
                    association_id=ASSOCIATION,
                    planting_id=planting_id,
                    kind=FactKind.EMERGED,
                    on=add_days(planting.planted_on, 11),
                    source=Source.CALL,
                    recorded_at=NOW,
                )
            )
            session.flush()
            refresh_household(session, ASSOCIATION, household_id, today=OPENS_ON, now=NOW)
        return perf_counter() - began

    def strangers_touched(self) -> bool:
        """Say whether a dose has changed in a household that nothing was told of."""
        told = {turn * STRIDE % self.place.plots + 1 for turn in range(1, self.told + 1)}
        with self.place.sessions.read() as session:
            homes = dict(
                session.execute(
                    select(PlantingRow.id, PlotRow.household_id).join(
                        PlotRow, PlotRow.id == PlantingRow.plot_id
                    )
                ).all()
            )
            changed = session.scalars(select(DoseRow.planting_id).where(DoseRow.revision > 1))
            return not {homes[key] for key in changed} <= {homes[key] for key in told}


def one_fact(setting: Setting, estate: Estate) -> Iterator[Line]:
    """Give the line of the time that one fact takes among 100,000 plots against 10,000."""
    yield _line(estate, 100_000, setting.rounds_or(ROUNDS))


def one_fact_1m(setting: Setting, estate: Estate) -> Iterator[Line]:
    """Give the same line for 1,000,000 plots."""
    yield _line(estate, 1_000_000, setting.rounds_or(ROUNDS))


def _line(estate: Estate, large: int, rounds: int) -> Line:
    news = {plots: News(place=estate.place(plots)) for plots in (SMALL, large)}
    for each in news.values():
        each.prepare()
    seen = interleave(rounds, {str(plots): each.a_round for plots, each in news.items()})
    if any(each.strangers_touched() for each in news.values()):
        raise SystemExit("A fact has changed the doses of another household.")
    return ratio_line(
        f"plan.one_fact.{short_number(large)}_vs_{short_number(SMALL)}",
        seen[str(large)],
        seen[str(SMALL)],
        goal="<=1.2",
        notes=[f"medians of {FACTS_A_ROUND} facts a round"],
    )
