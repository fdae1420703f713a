"""Every benchmark in a tiny size, so that none of them rots; its figures mean nothing here."""

from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.bench import (
    bench_backlog,
    bench_burst,
    bench_crash,
    bench_dispatch_pg,
    bench_dispatch_sqlite,
    bench_growth,
    bench_next_48h,
    bench_orm,
    bench_pages,
    bench_plan_orm,
)
from tests.bench.bench_backlog import Backlog
from tests.bench.common import Line, Skipped
from tests.bench.crowd import due_texts, queue_texts, settle_homes
from tests.bench.estate import Estate
from tests.bench.runner import SEED
from tests.bench.sending import check_records, send_all, send_some
from tests.bench.stock import LiteStock, PgStock, a_copy, pg_stock

CARELESS = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}
FEW = 120  # more than a batch

pytestmark = [pytest.mark.slow]


@pytest.fixture(scope="module")
def server() -> Iterator[PgStock]:
    """A server that waits for no disk."""
    with pg_stock({**CARELESS, "shared_buffers": "64MB"}) as stock:
        yield stock


@pytest.fixture
def estate(server: PgStock) -> Iterator[Estate]:
    """Made-up associations on that server."""
    made = Estate(running=server.running, seed=SEED)
    yield made
    made.close()


@pytest.fixture
def files(tmp_path: Path) -> LiteStock:
    """A folder for SQLite files."""
    return LiteStock(folder=tmp_path)


def verdicts(lines: Iterable[Line | Skipped]) -> dict[str, bool]:
    return {line.name: line.passed for line in lines}


def test_the_dispatcher_is_held_against_a_task_queue_and_the_server(server: PgStock) -> None:
    lines = list(bench_dispatch_pg.lines(server, 1, texts=FEW, jobs=10))

    assert [line.name for line in lines] == [
        "dispatch.pg.vs_task_queue",
        "dispatch.pg.vs_same_writes",
        "dispatch.pg.vs_bare_update",
    ]
    assert isinstance(lines[0], Line) is (find_spec("procrastinate") is not None)


def test_the_dispatcher_is_held_against_a_task_queue_on_files(files: LiteStock) -> None:
    lines = list(bench_dispatch_sqlite.lines(files, 1, texts=FEW, jobs=10))

    assert [line.name for line in lines] == [
        "dispatch.sqlite.vs_task_queue_fsync",
        "dispatch.sqlite.vs_task_queue_nofsync",
    ]
    assert isinstance(lines[0], Line) is (find_spec("huey") is not None)


@pytest.mark.parametrize("kind", ["sqlite", "pg"])
def test_the_queue_is_held_against_the_driver_alone(
    kind: str, files: LiteStock, server: PgStock
) -> None:
    line = bench_orm.line(files if kind == "sqlite" else server, 1, texts=FEW)

    assert line.name.startswith(f"orm.{kind}.core")


def test_a_text_that_was_not_sent_ends_the_run(files: LiteStock) -> None:
    files.make("due", lambda engine: settle_homes(engine, FEW))

    with a_copy(files, "due") as sessions:
        queue_texts(sessions.engine, *due_texts(FEW - 1, FEW))
        with pytest.raises(SystemExit, match="119 texts were sent"):
            send_all(sessions, FEW)
        with pytest.raises(SystemExit, match="0 texts were sent of 1"):
            send_some(sessions, 1)
        with pytest.raises(SystemExit, match="119 are stored as sent"):
            check_records(sessions, FEW)


@pytest.mark.parametrize("kind", ["sqlite", "pg"])
def test_a_backlog_of_any_size_is_sent_from(kind: str, files: LiteStock, server: PgStock) -> None:
    stock = files if kind == "sqlite" else server

    (line,) = bench_backlog.size_lines(stock, (300,), 1, small=150, a_run=50, homes=100)

    assert line.name == f"backlog.{kind}.300_vs_150"


def test_texts_that_are_not_due_or_were_sent_stand_beside(server: PgStock) -> None:
    mixed = Backlog(due=220, future=150, sent=150)

    line = bench_backlog.mixed_line(server, mixed, 1, a_run=50, homes=100)

    assert line.name == "backlog.pg.1m_future_and_sent_vs_10k"


def test_a_snapshot_may_be_held_meanwhile(server: PgStock) -> None:
    assert bench_backlog.held_line(server, 1, many=FEW).name.endswith("held_snapshot_with_mark")


def test_the_memory_of_a_process_of_its_own_is_told(files: LiteStock) -> None:
    line = bench_backlog.memory_line(files, 1, many=20, sizes=(40, 60), homes=50)

    assert line.value > 10_000


def test_none_of_a_burst_is_dropped(server: PgStock) -> None:
    found = {line.name: line for line in bench_burst.lines(server, 1, texts=FEW)}

    assert found["burst.dropped"].passed
    assert set(found) > {"burst.seconds", "burst.a_job_a_text.2ms.dropped"}


@pytest.mark.long
def test_a_killed_worker_doubles_and_loses_nothing(server: PgStock) -> None:
    assert verdicts(bench_crash.lines(server, SEED, texts=1_000, kills=1)) == {
        "crash.sent_twice": True,
        "crash.lost": True,
        "crash.unknown_per_kill": True,
    }


def test_pages_are_held_against_their_looks(server: PgStock) -> None:
    found = verdicts(bench_pages.lines(server, 1, sizes=(100, 200), askings=8))

    assert found["page.bytes"]
    assert set(found) > {"page.board.p95_vs_select.today", "page.board.p95_vs_select.households"}


def test_growth_is_told_of_texts_and_doses(
    server: PgStock, files: LiteStock, estate: Estate
) -> None:
    lines = [
        *bench_growth.text_lines(server, texts=FEW),
        bench_growth.file_line(files, texts=FEW),
        *bench_growth.dose_lines(estate, plots=60),
    ]

    assert all(line.value > 0 for line in lines)
    assert {line.name for line in lines} > {"growth.text.sent.log", "growth.dose.rows"}


def test_planning_is_held_against_objects(estate: Estate) -> None:
    (line,) = bench_plan_orm.lines(estate.place(40), 1)

    assert line.name == "plan.vs_orm"


def test_the_planner_is_held_against_itself_in_a_smaller_association(server: PgStock) -> None:
    line = bench_next_48h.line(server, 1, sizes=(210, 230), shares=1)

    assert line.name == "plan.next_48h.230_vs_210"
    assert line.value > 0
