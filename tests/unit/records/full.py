"""An association with rows in every table that a query looks at, and an empty one beside it."""

from datetime import UTC, date, datetime

from service.outbox.enqueue import enqueue
from service.records.fields import FactKind, Flag, HoldRow, PlantingFactRow, Source
from service.records.tasks import Task, close_task, open_task
from service.records.traffic import TaskKind
from tests.unit.outbox.queue import a_draft
from tests.world import World, enrol
from tests.world_facts import other_association

PHONE_ID = 1
WHO = "Neema Test"
HELD_ON = date(2027, 4, 1)
FULL_NOW = datetime(2027, 3, 25, 9, 0, tzinfo=UTC)


def full_association(world: World) -> None:
    """Fill association 1 by living through a day, and add association 2 without anything."""
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.text("perhaps A2 or so?", at="2027-03-15T13:00")
    with world.services.sessions.begin() as session:
        session.add(
            PlantingFactRow(
                association_id=1,
                planting_id=enrolled.planting_id,
                kind=FactKind.SOWN,
                dose_number=None,
                on=date(2027, 3, 15),
                source=Source.IMPORT,
                flag=Flag.TOO_EARLY,
                recorded_at=world.clock(),
            )
        )
        session.add(
            HoldRow(
                association_id=1,
                planting_id=enrolled.planting_id,
                first_on=HELD_ON,
                last_on=date(2027, 4, 2),
                source=Source.CALL,
                recorded_at=world.clock(),
            )
        )
        enqueue(session, 1, a_draft("waiting", due_at=FULL_NOW, expires_at=FULL_NOW), now=FULL_NOW)
        told = Task(kind=TaskKind.BY_CALL, key="1:2027-03-15", dose_id=1)
        task_id = open_task(session, 1, told, now=world.clock())
        assert task_id is not None
        close_task(session, 1, task_id, outcome="told", now=world.clock(), who=WHO)
        open_task(
            session, 1, Task(kind=TaskKind.SILENT, key="4:2027-04-01", dose_id=4), now=world.clock()
        )
        burnt = Task(kind=TaskKind.BURNT, key="1:2027-03-15", household_id=enrolled.household_id)
        open_task(session, 1, burnt, now=world.clock())
        session.add(other_association(world.clock()))
