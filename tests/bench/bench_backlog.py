"""Whether the dispatcher slows down with what waits, what was sent, or what others look at."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

from sqlalchemy import Engine, text

from service.clock import system_clock
from tests.bench.common import Line, Setting, interleave, ratio_line, short_number
from tests.bench.crowd import DUE, Texts, due_texts, queue_texts, settle_homes
from tests.bench.memory import peak_kb
from tests.bench.sending import send_all, send_some
from tests.bench.stock import PgStock, Stock, a_copy, lite_stock, opened, pg_stock

ROUNDS = 5
A_RUN = 5_000  # texts
HOMES = 100_000
SMALL, LARGE, HUGE = 10_000, 100_000, 1_000_000
HELD = 20_000  # texts that are sent while another looks at the old
GOALS = {LARGE: ">=0.95", HUGE: ">=0.9"}
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Backlog:
    """So many texts due, and so many others that are not due yet, or were sent long ago."""

    due: int
    future: int = 0
    sent: int = 0

    def fill(self, engine: Engine, homes: int) -> None:
        """Store them."""
        settle_homes(engine, homes)
        queue_texts(engine, *due_texts(self.due, homes))
        self._more(engine, homes, self.future, after=self.due, turn=1, state="queued")
        self._more(
            engine, homes, self.sent, after=self.due + self.future, turn=-1, state="submitted"
        )

    def _more(  # noqa: PLR0913 -- two kinds of other texts, told apart by their day and state
        self, engine: Engine, homes: int, many: int, *, after: int, turn: int, state: str
    ) -> None:
        past = system_clock().date() - timedelta(days=30)
        for place, first in enumerate(range(0, many, homes)):
            days = turn * (place + 1)
            texts = Texts(
                count=min(homes, many - first),
                after=after + first,
                evening=(past if turn < 0 else system_clock().date()) + days * DAY,
                due_at=system_clock() - DUE + days * DAY,
                state=state,
            )
            queue_texts(engine, texts)


def backlog_pg(setting: Setting) -> Iterator[Line]:
    """Give the lines of ten times the backlog, and of a snapshot that another holds."""
    rounds = setting.rounds_or(ROUNDS)
    with pg_stock() as stock:
        yield from size_lines(stock, (LARGE,), rounds, small=SMALL, a_run=A_RUN, homes=HOMES)
        yield held_line(stock, rounds, many=HELD)


def backlog_sqlite(setting: Setting) -> Iterator[Line]:
    """Give the line of ten times the backlog on SQLite."""
    with lite_stock() as stock:
        yield from size_lines(
            stock, (LARGE,), setting.rounds_or(ROUNDS), small=SMALL, a_run=A_RUN, homes=HOMES
        )


def backlog_1m(setting: Setting) -> Iterator[Line]:
    """Give the lines of a million texts, due or not, and of the memory that a worker takes."""
    rounds = setting.rounds_or(ROUNDS)
    with lite_stock() as lite:
        yield from size_lines(lite, (HUGE,), rounds, small=SMALL, a_run=A_RUN, homes=HOMES)
    with pg_stock() as stock:
        yield from size_lines(stock, (HUGE,), rounds, small=SMALL, a_run=A_RUN, homes=HOMES)
        mixed = Backlog(due=_room(SMALL, A_RUN, rounds), future=490_000, sent=500_000)
        yield mixed_line(stock, mixed, rounds, a_run=A_RUN, homes=HOMES)
        yield memory_line(stock, rounds, many=A_RUN, sizes=(SMALL, HUGE), homes=HOMES)


def size_lines(  # noqa: PLR0913 -- the sizes are the measurement
    stock: Stock, sizes: Sequence[int], rounds: int, *, small: int, a_run: int, homes: int
) -> Iterator[Line]:
    """Give a line for each size of the backlog against the small one."""
    with ExitStack() as stack:
        runs = {}
        for due in (small, *sizes):
            backlog = Backlog(due=_room(due, a_run, rounds))
            runs[due] = _sender(stack, stock, f"due_{due}", backlog, a_run, homes)
        seen = interleave(rounds, {short_number(due): run for due, run in runs.items()})
    kind, few = stock.kind, short_number(small)
    for due in sizes:
        many = short_number(due)
        yield ratio_line(
            f"backlog.{kind}.{many}_vs_{few}",
            seen[many],
            seen[few],
            goal=GOALS.get(due),
            unit="/s",
            notes=[f"{a_run} texts a run"],
        )


def mixed_line(stock: Stock, mixed: Backlog, rounds: int, *, a_run: int, homes: int) -> Line:
    """Give the line of texts that are not due, and of texts that were sent, beside the due ones."""
    with ExitStack() as stack:
        alone = Backlog(due=mixed.due)
        runs = {
            "alone": _sender(stack, stock, "alone", alone, a_run, homes),
            "mixed": _sender(stack, stock, "mixed", mixed, a_run, homes),
        }
        seen = interleave(rounds, runs)
    return ratio_line(
        f"backlog.{stock.kind}.1m_future_and_sent_vs_10k",
        seen["mixed"],
        seen["alone"],
        goal=">=0.95",
        unit="/s",
        notes=[f"{mixed.future} not due, {mixed.sent} sent"],
    )


def held_line(stock: PgStock, rounds: int, *, many: int) -> Line:
    """Give the line of a queue that is sent while another connection looks at its old state."""
    stock.make("held", lambda engine: Backlog(due=many).fill(engine, many))

    def run(*, hold: bool) -> float:
        with a_copy(stock, "held") as sessions, sessions.engine.connect() as other:
            if hold:  # nothing that is dead from now on may be removed
                other.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ"))
                other.execute(text("SELECT count(*) FROM message")).one()
            return send_all(sessions, many)

    seen = interleave(rounds, {"free": lambda: run(hold=False), "held": lambda: run(hold=True)})
    return ratio_line(
        "backlog.pg.held_snapshot_with_mark",
        seen["held"],
        seen["free"],
        goal=">=0.9",
        unit="/s",
        notes=[f"{many} texts a run"],
    )


def memory_line(
    stock: Stock, rounds: int, *, many: int, sizes: tuple[int, int], homes: int
) -> Line:
    """Give the line of the memory of a process that sends some of few texts or of very many."""
    urls = {
        short_number(due): _made(stock, f"memory_{due}", _room(due, many, rounds), homes)
        for due in sizes
    }
    runs = {name: partial(peak_kb, url, many) for name, url in urls.items()}
    seen = interleave(rounds, runs)
    few, lots = (short_number(due) for due in sizes)
    return ratio_line(
        f"memory.dispatcher_rss.{lots}_vs_{few}", seen[lots], seen[few], goal="<=1.1", unit="kB"
    )


def _made(stock: Stock, name: str, due: int, homes: int) -> str:
    return stock.make(name, lambda engine: Backlog(due=due).fill(engine, homes))


def _room(due: int, a_run: int, rounds: int) -> int:
    """Return how many texts to store so that `due` are left after all runs."""
    return due + a_run * (rounds + 1)


def _sender(  # noqa: PLR0913, PLR0917 -- what a run needs to be made ready
    stack: ExitStack, stock: Stock, name: str, backlog: Backlog, a_run: int, homes: int
) -> Callable[[], float]:
    url = stock.make(name, lambda engine: backlog.fill(engine, homes))
    sessions = stack.enter_context(opened(url))
    send_some(sessions, a_run)  # the first texts find everything cold
    return lambda: send_some(sessions, a_run)
