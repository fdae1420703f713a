"""A step of the demo meets one time of day only, and is counted when it is whole."""

from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from service.records.engine import Sessions
from service.records.pretend_pause import between_steps, whole_step
from service.records.workers import WorkerKind, begin_worker, steps_taken
from tests.fresh import on_postgresql
from tests.unit.outbox.queue import NOW

PATIENCE_S = 30
A_MOMENT_S = 0.3

on_the_server = pytest.mark.skipif(
    not on_postgresql(), reason="the demo runs in many processes on PostgreSQL alone"
)


def a_worker(sessions: Sessions) -> int:
    with sessions.begin() as session:
        return begin_worker(session, WorkerKind.WORK, place="far 12", routes=["main"], now=NOW)


def counted(sessions: Sessions) -> dict[int, int]:
    with sessions.read() as session:
        return steps_taken(session)


def test_a_worker_has_taken_no_step_when_it_begins(sessions: Sessions) -> None:
    worker_id = a_worker(sessions)

    assert counted(sessions) == {worker_id: 0}


def test_whole_steps_are_counted_by_worker(sessions: Sessions) -> None:
    first, second = a_worker(sessions), a_worker(sessions)

    for worker_id in (first, second, first):
        with whole_step(sessions, worker_id):
            pass

    assert counted(sessions) == {first: 2, second: 1}


def test_a_step_that_fails_is_not_counted(sessions: Sessions) -> None:
    worker_id = a_worker(sessions)

    with pytest.raises(ValueError, match="half way"), whole_step(sessions, worker_id):
        raise ValueError("half way")

    assert counted(sessions) == {worker_id: 0}


@on_the_server
def test_the_time_waits_for_every_step_on_its_way(sessions: Sessions) -> None:
    workers = [a_worker(sessions) for _ in range(2)]
    begun, go_on, moved = [Event(), Event()], Event(), Event()

    def take_a_step(turn: int) -> None:
        with whole_step(sessions, workers[turn]):
            begun[turn].set()
            assert go_on.wait(PATIENCE_S)

    def move_the_time() -> dict[int, int]:
        with between_steps(sessions):
            moved.set()
            return counted(sessions)

    with ThreadPoolExecutor() as pool:
        steps = [pool.submit(take_a_step, turn) for turn in range(2)]
        assert all(event.wait(PATIENCE_S) for event in begun)  # two steps go on side by side
        moving = pool.submit(move_the_time)
        too_early = moved.wait(A_MOMENT_S)
        go_on.set()
        seen = moving.result()
        for step in steps:
            step.result()

    assert not too_early
    assert seen == dict.fromkeys(workers, 1)


@on_the_server
def test_no_step_begins_while_the_time_moves(sessions: Sessions) -> None:
    worker_id, begun = a_worker(sessions), Event()

    def take_a_step() -> None:
        with whole_step(sessions, worker_id):
            begun.set()

    with ThreadPoolExecutor() as pool:
        with between_steps(sessions):
            step = pool.submit(take_a_step)
            too_early = begun.wait(A_MOMENT_S)
        step.result()

    assert not too_early
    assert counted(sessions) == {worker_id: 1}
