"""Planning share by share: the same plan however it is divided, and by however many."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from service.planning import planners
from service.planning.planners import Pace, Planner
from service.planning.tick import plan_households
from service.records import shares
from service.records.engine import Session
from service.records.shares import PlanShareRow
from service.records.traffic import CallTaskRow, MessageRow
from tests.world import World, enrol

EVE = "2027-03-14T09:00"
HOMES = 12


def village(world: World) -> None:
    """Enrol some households, a third of them at a phone that serves two or three."""
    for number in range(HOMES):
        phone = number // 3 * 3 if number % 4 == 0 else number
        enrol(
            world,
            code=f"H{number:02}",
            number=f"+2551000000{phone:02}",
            letter="ADG"[number % 3],
            needs_call=number == HOMES - 1,
        )


def said(world: World) -> tuple[list[object], list[object]]:
    """Return what is queued, text by text, and which calls are open: all but the rows' numbers."""
    row, task = MessageRow, CallTaskRow
    with world.services.sessions.read() as session:
        texts = session.execute(
            select(row.number, row.kind, row.evening, row.due_at, row.fields).order_by(
                row.number, row.evening, row.kind
            )
        )
        tasks = session.execute(select(task.household_id, task.kind).order_by(task.household_id))
        return [tuple(text) for text in texts], [tuple(call) for call in tasks]


def planner(world: World, **changes: object) -> Planner:
    known = Planner(
        sessions=world.services.sessions,
        association_id=1,
        catalogue=world.services.catalogue,
        clock=world.clock,
    )
    return replace(known, **changes)  # type: ignore[arg-type]  # -- as given


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    world = World(folder=tmp_path / "here")
    village(world)
    world.now = datetime.fromisoformat(EVE).replace(tzinfo=world.now.tzinfo)
    world.services.lane()
    yield world
    world.close()


def in_blocks_of(size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shares, "HOUSEHOLDS_A_BLOCK", size)


def test_a_plan_in_shares_is_the_plan_in_one(
    tmp_path: Path, world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = World(folder=tmp_path / "there")
    village(other)
    other.now = world.now
    other.services.lane()
    assert planner(other).run_once() == 1

    in_blocks_of(2, monkeypatch)
    assert planner(world).run_once() > HOMES / 3

    texts, calls = said(world)
    assert len(texts) >= HOMES / 2
    assert calls
    assert said(world) == said(other)
    other.close()


def test_planning_again_changes_nothing(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    in_blocks_of(2, monkeypatch)
    planner(world).run_once()
    before = said(world)

    planner(world).run_once()

    assert said(world) == before


def test_what_was_planned_a_moment_ago_is_left_alone(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_blocks_of(2, monkeypatch)
    sharing = planner(world, pace=Pace(shared=True))
    whole = sharing.run_once()

    assert whole > HOMES / 3
    assert sharing.run_once() == 0

    world.now += timedelta(seconds=3)
    assert sharing.run_once() == whole


def test_a_planner_stops_when_texts_wait_and_goes_on_where_it_was(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_blocks_of(2, monkeypatch)
    ticks = iter(range(10_000))
    hurried = planner(
        world, pace=Pace(shared=True, at_most_s=2), monotonic=lambda: float(next(ticks))
    )

    counts = [hurried.run_once() for _ in range(HOMES)]

    assert counts[0] == 2
    assert sum(counts) == len(planned(world))
    assert counts[-1] == 0


def test_a_planner_that_is_to_end_begins_nothing(world: World) -> None:
    assert planner(world, go_on=lambda: False).run_once() == 0


def test_several_planners_plan_each_share_once(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_blocks_of(1, monkeypatch)
    homes: list[int] = []

    def counted(session: Session, tenant: int, own: list[int], **rest: object) -> None:
        homes.extend(own)
        plan_households(session, tenant, own, **rest)  # type: ignore[arg-type]  # -- as given

    monkeypatch.setattr(planners, "plan_households", counted)
    with ThreadPoolExecutor() as pool:
        runs = [pool.submit(planner(world, pace=Pace(shared=True)).run_once) for _ in range(4)]
        done = sum(run.result() for run in runs)

    assert done == len(planned(world))
    assert sorted(homes) == sorted(set(homes))
    assert len(homes) == HOMES


def test_planners_at_once_leave_what_one_alone_leaves(
    tmp_path: Path, world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_blocks_of(2, monkeypatch)
    other = World(folder=tmp_path / "there")
    village(other)
    other.now = world.now
    other.services.lane()
    planner(other).run_once()

    with ThreadPoolExecutor() as pool:
        for run in [pool.submit(planner(world).run_once) for _ in range(3)]:
            run.result()

    assert said(world) == said(other)
    other.close()


def planned(world: World) -> list[PlanShareRow]:
    with world.services.sessions.read() as session:
        return [row for row in session.scalars(select(PlanShareRow)) if row.planned_at is not None]
