"""What is due within 48 hours turned into queued texts, in associations of different sizes.

A planner takes shares of households that nobody has planned yet: it reads what is known of them,
plans their doses, and queues what their phones are to be told.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from time import perf_counter

from sqlalchemy import Engine, func, select

from service.planning.planners import Pace, Planner
from service.records.engine import Sessions
from service.records.shares import HOUSEHOLDS_A_BLOCK
from service.records.traffic import MessageRow
from tests.bench.common import Line, Setting, interleave, ratio_line, short_number
from tests.bench.crowd import ASSOCIATION, MADE_AT, settle_homes
from tests.bench.stock import PgStock, opened, pg_stock
from tests.fresh import shipped_texts

ROUNDS = 5
SHARES_A_ROUND = 5
SMALL, LARGE, HUGE = 10_000, 100_000, 1_000_000
A_DAY_ON = MADE_AT + timedelta(days=1)


@dataclass(kw_only=True)
class Office:
    """The planner of one association, and how many shares it may take yet."""

    sessions: Sessions
    shares: int
    left: int = 0
    planner: Planner = field(init=False)

    def __post_init__(self) -> None:
        self.planner = Planner(
            sessions=self.sessions,
            association_id=ASSOCIATION,
            catalogue=shipped_texts(),
            clock=lambda: A_DAY_ON,
            pace=Pace(shared=True),
            go_on=self._may_take_another,
        )

    def _may_take_another(self) -> bool:
        self.left -= 1
        return self.left >= 0

    def a_round(self) -> float:
        """Return the texts a second that the next shares bring into the queue.

        Raises:
            SystemExit: one was not planned, or no text came of them: the figure would say nothing.
        """
        before, self.left = self._queued(), self.shares
        began = perf_counter()
        planned = self.planner.run_once()
        took_s = perf_counter() - began
        texts = self._queued() - before
        if planned != self.shares or texts < planned:
            raise SystemExit(f"{planned} shares of {self.shares} gave {texts} texts.")
        return texts / took_s

    def _queued(self) -> int:
        with self.sessions.read() as session:
            return session.scalar(select(func.count()).select_from(MessageRow)) or 0


def next_48h(setting: Setting) -> Iterator[Line]:
    """Give the line of 100,000 homes beside 10,000."""
    with pg_stock() as stock:
        yield line(stock, setting.rounds_or(ROUNDS), sizes=(SMALL, LARGE))


def next_48h_1m(setting: Setting) -> Iterator[Line]:
    """Give the line of 1,000,000 homes beside 10,000."""
    with pg_stock() as stock:
        yield line(stock, setting.rounds_or(ROUNDS), sizes=(SMALL, HUGE))


def line(
    stock: PgStock, rounds: int, *, sizes: tuple[int, int], shares: int = SHARES_A_ROUND
) -> Line:
    """Give the line of two associations of so many homes."""
    small, large = sizes
    with opened(_made(stock, small)) as few, opened(_made(stock, large)) as many:
        offices = {
            str(homes): Office(sessions=each, shares=shares)
            for homes, each in ((small, few), (large, many))
        }
        for office in offices.values():
            office.a_round()  # every share has its row from now on
        seen = interleave(rounds, {name: office.a_round for name, office in offices.items()})
    return ratio_line(
        f"plan.next_48h.{short_number(large)}_vs_{short_number(small)}",
        seen[str(large)],
        seen[str(small)],
        goal=">=0.8",
        unit="/s",
        notes=[f"{shares} shares of {HOUSEHOLDS_A_BLOCK} homes a round"],
    )


def _made(stock: PgStock, homes: int) -> str:
    def fill(engine: Engine) -> None:
        settle_homes(engine, homes)

    return stock.make(f"homes_{homes}", fill)
