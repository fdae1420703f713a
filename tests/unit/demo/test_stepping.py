"""A worker of the demo steps when the time has moved, and counts what it did as a whole."""

from collections.abc import Callable

from service.demo.stepping import Stepping
from service.records.workers import WorkerKind, begin_worker, steps_taken
from tests.world import PHONE, World, enrol


def stepping(world: World, **parts: Callable[[], float]) -> Stepping:
    with world.services.sessions.begin() as session:
        worker_id = begin_worker(
            session, WorkerKind.WORK, place="far 12", routes=["main"], now=world.clock()
        )
    return Stepping(world.services, worker_id, **parts)


def counted(world: World) -> list[int]:
    with world.services.sessions.read() as session:
        return list(steps_taken(session).values())


def test_it_steps_once_for_each_move_of_the_time(world: World) -> None:
    steps = stepping(world)

    looks = [steps.look(), steps.look()]
    world.now = world.now.replace(hour=18)
    looks += [steps.look(), steps.look()]

    assert looks == [True, False, True, False]
    assert counted(world) == [2]


def test_its_step_takes_in_what_growers_text(world: World) -> None:
    enrol(world)
    world.gateway.answer(PHONE, "A1")

    stepping(world).look()

    assert world.gateway.unread(world.clock()) == 0


def test_it_looks_again_after_the_usual_pause_though_the_time_stands(world: World) -> None:
    shown_s = [100.0]
    steps = stepping(world, monotonic=lambda: shown_s[0])

    looks = [steps.look()]
    for shown_s[0] in (101.9, 102.0):
        looks += [steps.look()]

    assert looks == [True, False, True]


def test_a_step_that_is_cut_short_does_not_count(world: World) -> None:
    steps = stepping(world)
    world.services.ending.set()

    assert steps.look()
    assert counted(world) == [0]


def test_it_ends_when_the_process_is_asked_to(world: World) -> None:
    steps = stepping(world)
    world.services.ending.set()

    steps.start()
    steps.join(30)

    assert not steps.is_alive()
