"""An open wish to join is found by the number, in its own association alone."""

from service.records.inbox import wish_to_join
from service.records.tasks import Task, close_task, open_task
from service.records.traffic import InboundRow, TaskKind
from tests.world import PHONE, World, enrol
from tests.world_facts import other_association
from tests.world_looks import rows

STRANGER = "+255100000055"


def wishing(world: World) -> int:
    """Let a stranger write, open a task to enrol the number, and return its id."""
    enrol(world)
    world.text("who are you?", number=STRANGER)
    (row,) = rows(world, InboundRow)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
        task = Task(kind=TaskKind.ENROL, key="x", inbound_id=row.id)
        task_id = open_task(session, 1, task, now=world.clock())
        assert task_id is not None
        return task_id


def test_an_open_wish_is_found_by_its_number_and_association(world: World) -> None:
    task_id = wishing(world)
    with world.services.sessions.read() as session:
        assert wish_to_join(session, 1, STRANGER) == task_id
        assert wish_to_join(session, 2, STRANGER) is None
        assert wish_to_join(session, 1, PHONE) is None


def test_a_settled_wish_is_not_found(world: World) -> None:
    task_id = wishing(world)
    with world.services.sessions.begin() as session:
        close_task(session, 1, task_id, outcome="enrolled", now=world.clock())
    with world.services.sessions.read() as session:
        assert wish_to_join(session, 1, STRANGER) is None
