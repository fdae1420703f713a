"""Today and the list of households of an association, against the bare looks of the same page.

The pages come through WSGI in this process, with sign-in, forgery check and catalogue.
"""

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import timedelta
from functools import partial

from sqlalchemy import Engine

from service.clock import system_clock
from tests.bench.common import Line, Setting, absolute_line, interleave, ratio_line, short_number
from tests.bench.crowd import Texts, open_tasks, queue_texts, settle_homes
from tests.bench.office import Office, office, p95_s
from tests.bench.stock import PgStock, opened, pg_stock

ROUNDS = 5
SMALL, LARGE = 10_000, 100_000
ASKINGS = 120  # a run
TASK_EACH, TEXT_EACH = 50, 10  # homes to an open call; homes to a text for this evening
LISTED = 25  # households a page
SPREAD = 8  # pages of the list, from its beginning to its end
HEAVIEST = 15_000


def pages(setting: Setting) -> Iterator[Line]:
    """Give the lines of both pages at 100,000 plots, and of every page's weight."""
    with pg_stock() as stock:
        yield from lines(stock, setting.rounds_or(ROUNDS), sizes=(SMALL, LARGE), askings=ASKINGS)


def lines(stock: PgStock, rounds: int, *, sizes: tuple[int, int], askings: int) -> Iterator[Line]:
    """Give the lines for two sizes."""
    small, large = sizes
    with ExitStack() as stack:
        offices = {homes: _office(stack, stock, homes) for homes in sizes}
        heaviest = 0
        for name in ("today", "households"):
            runs, looks = {}, 0
            for homes, each in offices.items():
                paths = _paths(name, homes)
                each.learn(paths)
                looks = len(each.looks[paths[0]])
                heaviest = max(heaviest, *(each.weight(path) for path in paths))
                runs[f"{name} {homes}"] = partial(p95_s, each.page, paths, askings)
                runs[f"looks {homes}"] = partial(p95_s, each.look, paths, askings)
            seen = interleave(rounds, runs)
            ours, notes = seen[f"{name} {large}"], ["p95", f"{askings} askings a round"]
            yield ratio_line(
                f"page.board.p95_vs_select.{name}",
                ours,
                seen[f"looks {large}"],
                goal="<=5",
                notes=[*notes, f"{looks} looks"],
            )
            yield ratio_line(
                f"page.board.{short_number(large)}_vs_{short_number(small)}.{name}",
                ours,
                seen[f"{name} {small}"],
                goal="<=1.1",
                notes=notes,
            )
        yield absolute_line("page.bytes", heaviest, goal=f"<={HEAVIEST}", unit="B")


def _office(stack: ExitStack, stock: PgStock, homes: int) -> Office:
    url = stock.make(f"homes_{homes}", lambda engine: _fill(engine, homes))
    made = office(stack.enter_context(opened(url)))
    stack.callback(made.engine.dispose)
    return made


def _fill(engine: Engine, homes: int) -> None:
    settle_homes(engine, homes)
    open_tasks(engine, homes // TASK_EACH)
    now = system_clock()
    due_at = now + timedelta(hours=1)
    queue_texts(engine, Texts(count=homes // TEXT_EACH, evening=now.date(), due_at=due_at))


def _paths(name: str, homes: int) -> list[str]:
    if name == "today":
        return ["/"]
    last = max(homes // LISTED, 1)
    return [f"/households?page={1 + turn * (last - 1) // (SPREAD - 1)}" for turn in range(SPREAD)]
