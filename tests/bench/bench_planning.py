"""A whole association planned and stored, against COPY of the same rows as ready text.

Both go into the same table with its keys and checks. With stock, all plots are planted within two
days, so that in each household the containers decide what the first doses get.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from time import perf_counter
from typing import Any

from service.agronomy.calendar import add_days
from service.agronomy.shape import forget_shapes, shapes_seen
from service.planning.bulk import plan_all
from tests.bench.common import Line, Setting, interleave, ratio_line, short_number
from tests.bench.estate import ASSOCIATION, NOW, Estate, Place
from tests.bench.life import OPENS_ON

ENOUGH_ROUNDS = 5
LINES_A_WRITE = 2_000
LONG_BEFORE = add_days(OPENS_ON, -7)  # no dose is near enough for its stock to matter
DATES_GOAL, STOCK_GOAL = "<=1.7", "<=3"
_COLUMNS = (
    "association_id, planting_id, number, due_on, closes_on, urine_l, water_l, short_l, revision,"
    " state, reason, told"
)
_SUMS = """SELECT count(*), sum(due_on - date '2000-01-01'), sum(closes_on - date '2000-01-01'),
  sum(round(urine_l::numeric, 6) * number), sum(round(water_l::numeric, 6)),
  sum(round(short_l::numeric, 6)), sum(length(state) * number),
  sum(coalesce(length(reason), 0) * number), sum(revision) FROM dose"""


@dataclass(kw_only=True)
class Contest:
    """The product and its baseline on one database, each held to the same rows."""

    place: Place
    today: date
    ready: list[bytes] = field(default_factory=list)
    sums: tuple[object, ...] = ()
    hit_rate: float = 0.0

    def product(self) -> float:
        """Return the seconds that planning takes, reading and storing included.

        What it stores first is kept as text, and both have to store just that from then on.
        """
        forget_shapes()
        seconds = self._timed(self._plan)
        _, made = shapes_seen()
        self.hit_rate = 1 - made / self.place.plots
        if not self.ready:
            with self.place.engine.connect() as connection:
                raw: Any = connection.connection.driver_connection
                with raw.cursor().copy(f"COPY dose ({_COLUMNS}) TO STDOUT") as copy:
                    lines = [bytes(line) for line in copy]
            starts = range(0, len(lines), LINES_A_WRITE)
            self.ready = [b"".join(lines[start : start + LINES_A_WRITE]) for start in starts]
        return seconds

    def baseline(self) -> float:
        """Return the seconds that COPY takes to store the same rows."""
        return self._timed(self._copy)

    def _timed(self, run: Any) -> float:  # noqa: ANN401 -- a method without parameters
        self.place.empty()
        began = perf_counter()
        run()
        seconds = perf_counter() - began
        sums = self._sums()
        self.sums = self.sums or sums
        if sums != self.sums:
            raise SystemExit("The rows stored are not those of the first run.")
        return seconds

    def _plan(self) -> None:
        with self.place.sessions.begin() as session:
            result = plan_all(session, ASSOCIATION, today=self.today, now=NOW)
        if result.single_households:
            raise SystemExit("Some households were not planned in bulk.")

    def _copy(self) -> None:
        with self.place.engine.begin() as connection:
            raw: Any = connection.connection.driver_connection
            with raw.cursor().copy(f"COPY dose ({_COLUMNS}) FROM STDIN") as copy:
                for part in self.ready:
                    copy.write(part)

    def _sums(self) -> tuple[object, ...]:
        with self.place.engine.connect() as connection:
            return tuple(connection.exec_driver_sql(_SUMS).one())


def bulk_vs_copy(setting: Setting, estate: Estate) -> Iterator[Line]:
    """Give a line for dates and amounts and one with stock, for 10,000 and 100,000 plots."""
    for plots in (10_000, 100_000):
        yield from _lines(estate.place(plots), setting.rounds_or(ENOUGH_ROUNDS))


def bulk_vs_copy_1m(setting: Setting, estate: Estate) -> Iterator[Line]:
    """Give the same lines for 1,000,000 plots."""
    yield from _lines(estate.place(1_000_000), setting.rounds_or(1))


def _lines(place: Place, rounds: int) -> Iterator[Line]:
    yield _line("plan.bulk_vs_copy", place, LONG_BEFORE, rounds, DATES_GOAL)
    place.crowd()
    yield _line("plan.bulk_vs_copy.with_stock", place, OPENS_ON, rounds, STOCK_GOAL)


def _line(name: str, place: Place, today: date, rounds: int, goal: str) -> Line:
    contest = Contest(place=place, today=today)
    seen = interleave(rounds, {"plan": contest.product, "copy": contest.baseline})
    few = [] if rounds >= ENOUGH_ROUNDS else [f"only {rounds} round{'s'[: rounds > 1]}"]
    return ratio_line(
        f"{name}.{short_number(place.plots)}",
        seen["plan"],
        seen["copy"],
        goal=goal,
        notes=[*few, f"shapes found ready {contest.hit_rate:.1%}"],
    )
