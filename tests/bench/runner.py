"""Runs the benchmarks that are named, or all, and prints one line a goal."""

import argparse
import os
import platform
import signal
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec

from tests.bench.bench_backlog import backlog_1m, backlog_pg, backlog_sqlite
from tests.bench.bench_burst import burst
from tests.bench.bench_crash import crash
from tests.bench.bench_dispatch_pg import dispatch_pg
from tests.bench.bench_dispatch_sqlite import dispatch_sqlite
from tests.bench.bench_growth import growth
from tests.bench.bench_next_48h import next_48h, next_48h_1m
from tests.bench.bench_one_fact import one_fact, one_fact_1m
from tests.bench.bench_orm import orm_pg, orm_sqlite
from tests.bench.bench_pages import pages
from tests.bench.bench_plan_orm import plan_vs_orm
from tests.bench.bench_planning import bulk_vs_copy, bulk_vs_copy_1m
from tests.bench.bench_smpp import smpp_vs_codec, smpp_window
from tests.bench.bench_start_up import start_up
from tests.bench.common import Line, Setting, Skipped
from tests.bench.estate import Estate, estate
from tests.pg import has_postgres

SEED = 20270315
SHOWN = (
    *("furrowbell", "sqlalchemy", "psycopg", "procrastinate", "huey", "apscheduler", "numpy"),
    *("click", "smpplib"),
)
Result = Line | Skipped


@dataclass(frozen=True, slots=True, kw_only=True)
class Alone:
    """A benchmark that needs nothing but this environment."""

    run: Callable[[Setting], Iterator[Result]]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnServer:
    """A benchmark that starts a PostgreSQL server of its own."""

    run: Callable[[Setting], Iterator[Result]]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPostgres:
    """A benchmark on the made-up associations in PostgreSQL."""

    run: Callable[[Setting, Estate], Iterator[Line]]


Bench = Alone | OnServer | OnPostgres
BENCHES: dict[str, Bench] = {
    "start_up": Alone(run=start_up),
    "dispatch.pg": OnServer(run=dispatch_pg),
    "dispatch.sqlite": Alone(run=dispatch_sqlite),
    "orm.pg": OnServer(run=orm_pg),
    "orm.sqlite": Alone(run=orm_sqlite),
    "backlog.pg": OnServer(run=backlog_pg),
    "backlog.sqlite": Alone(run=backlog_sqlite),
    "burst": OnServer(run=burst),
    "crash": OnServer(run=crash),
    "plan.bulk_vs_copy": OnPostgres(run=bulk_vs_copy),
    "plan.one_fact": OnPostgres(run=one_fact),
    "plan.next_48h": OnServer(run=next_48h),
    "plan.vs_orm": OnPostgres(run=plan_vs_orm),
    "page": OnServer(run=pages),
    "growth": OnPostgres(run=growth),
    "gateway.smpp_vs_codec": Alone(run=smpp_vs_codec),
    "gateway.smpp_window1": Alone(run=smpp_window),
}
LONG: dict[str, Bench] = {  # several minutes each: only where they are named in full
    "plan.bulk_vs_copy.1m": OnPostgres(run=bulk_vs_copy_1m),
    "plan.one_fact.1m": OnPostgres(run=one_fact_1m),
    "plan.next_48h.1m": OnServer(run=next_48h_1m),
    "backlog.1m": OnServer(run=backlog_1m),
}


def main(arguments: Sequence[str]) -> int:
    """Return 1 if a goal was missed, 2 if a name is not known, else 0."""
    asked = _parser().parse_args(arguments)
    chosen = chosen_names(asked.names)
    if not chosen:
        sys.stderr.write(
            f"No benchmark has that name. There are: {', '.join([*BENCHES, *LONG])}.\n"
        )
        return 2
    setting = Setting(rounds=asked.rounds, seed=asked.seed)
    sys.stderr.write(f"{_versions()}, seed {setting.seed}\n")
    missed = False
    for result in _results(chosen, setting):
        sys.stdout.write(f"{result.as_json() if asked.json else result.text()}\n")
        sys.stdout.flush()
        missed = missed or not result.passed
    return int(missed)


def chosen_names(names: Sequence[str]) -> list[str]:
    """Return the benchmarks whose names begin with one of these; the short, where none is given."""
    short = [name for name in BENCHES if not names or name.startswith(tuple(names))]
    return [*short, *(name for name in LONG if name in names)]


def _results(chosen: Iterable[str], setting: Setting) -> Iterator[Result]:
    with ExitStack() as stack:
        made: Estate | None = None
        for name in chosen:
            match {**BENCHES, **LONG}[name]:
                case Alone(run=run):
                    yield from run(setting)
                case OnServer(run=run_alone):
                    missing = _missing()
                    if missing is None:
                        yield from run_alone(setting)
                    else:
                        yield Skipped(name=name, needs=missing)
                case OnPostgres(run=run_there):
                    missing = _missing()
                    if missing is not None:
                        yield Skipped(name=name, needs=missing)
                        continue
                    if made is None:
                        made = stack.enter_context(estate(setting.seed))
                    yield from run_there(setting, made)


def _missing() -> str | None:
    if find_spec("psycopg") is None:
        return "psycopg"
    return None if has_postgres() else "postgresql"


def _versions() -> str:
    found = [f"python {platform.python_version()}"]
    for name in SHOWN:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            found.append(f"no {name}")
    machine = f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors"
    return f"{', '.join(found)}; {machine}"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tests/bench/run",
        description="Ratios against a baseline of the same run; exits 1 if a goal is missed.",
    )
    parser.add_argument("names", nargs="*", metavar="NAME", help="the beginning of a goal's name")
    parser.add_argument("--rounds", type=int, help="instead of each benchmark's own number")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    parser.add_argument("--seed", type=int, default=SEED, help="of everything made up")
    return parser


def _end(_signal: int, _frame: object) -> None:
    sys.exit(143)  # by way of every block that has something to take down


if __name__ == "__main__":
    signal.signal(signal.SIGTERM, _end)
    sys.exit(main(sys.argv[1:]))
