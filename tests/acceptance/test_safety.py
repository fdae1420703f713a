"""What keeps a grower's health: nothing from a container that still rests."""

from datetime import date
from pathlib import Path

from service.records.fields import DoseState, FactKind, Flag
from service.records.traffic import TaskKind
from tests.world import World, enrol, tick_through
from tests.world_facts import another_can
from tests.world_looks import calls, dose, facts, messages, sent_kinds

HOURS = ("06:00", "18:00")


def test_no_dose_text_comes_while_every_container_rests(tmp_path: Path) -> None:
    """S2: container not ready -> no dose text; a call opens, and at its end the dose is dropped."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, sealed_on=date(2027, 3, 20))
    tick_through(world, date(2027, 3, 26), date(2027, 4, 5), hours=HOURS)

    assert messages(world, "dose", "repeat", "digest") == []
    assert dose(world, enrolled, 2).reason == "not-ready"
    assert dose(world, enrolled, 3).id in {
        task.dose_id for task in calls(world, TaskKind.NOT_READY)
    }
    world.close()


def test_a_dose_text_names_the_container_that_is_ready_and_never_the_one_that_rests(
    tmp_path: Path,
) -> None:
    """S2: with can 1 resting and can 2 ready every text says "from can 2"."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, sealed_on=date(2027, 3, 20))
    another_can(world, enrolled, number=2, sealed_on=date(2027, 1, 10))
    tick_through(world, date(2027, 3, 27), date(2027, 4, 10), hours=HOURS)
    asking = [row.body or "" for row in messages(world, "dose", "repeat") if row.body]

    assert len(asking) >= 5
    assert not [text for text in asking if "rom can 2" not in text]
    assert not [text for text in asking if "can 1" in text]
    world.close()


def test_a_dose_from_a_container_that_rests_is_recorded_and_answered_with_the_safe_step(
    tmp_path: Path,
) -> None:
    """S2: `A3` from unready can -> recorded; wash, do not harvest before ...; a person sees it."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, sealed_on=date(2027, 3, 20))
    tick_through(world, date(2027, 3, 27), date(2027, 4, 3), hours=HOURS)
    world.text("A3", at="2027-04-04T12:00")
    (fact,) = facts(world, enrolled, FactKind.APPLIED)

    assert (fact.dose_number, fact.on, fact.flag) == (3, date(2027, 4, 4), Flag.NOT_READY)
    assert dose(world, enrolled, 3).state is DoseState.DONE
    assert sent_kinds(world)[-1] == "r_unready"
    assert "Wash hands and tools with soap." in world.bodies()[-1]
    assert "do not harvest before Tue 4 May" in world.bodies()[-1]
    assert f"not-ready:reported:{enrolled.planting_id}:3" in {
        task.key for task in calls(world, TaskKind.NOT_READY)
    }
    world.close()
