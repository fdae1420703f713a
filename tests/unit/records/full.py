"""An association with rows in every table that a query looks at, and an empty one beside it."""

from datetime import UTC, date, datetime

from service.agronomy.dosing import Season
from service.agronomy.local import LocalKey, LocalValue
from service.agronomy.watering import SeasonSpan
from service.messages.lifecycle import State
from service.outbox.enqueue import enqueue
from service.records.engine import Session
from service.records.fields import (
    FactKind,
    Flag,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    Source,
)
from service.records.locality_acts import (
    Noted,
    add_area_hold,
    add_local_value,
    add_season_span,
)
from service.records.locality_lists import HOLD
from service.records.people import AuditRow
from service.records.tasks import Task, audit, close_task, open_task
from service.records.traffic import MessageRow, TaskKind
from service.records.ussd import UssdSessionRow
from service.records.wire import MessagePartRow
from tests.unit.outbox.queue import a_draft
from tests.world import PHONE, World, enrol
from tests.world_facts import other_association

PHONE_ID = 1
WHO = "Neema Test"
SESSION = "session-1"
HELD_ON = date(2027, 4, 1)
FAR_AWAY = date(2028, 1, 1)  # a day on which nothing is due
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
        _on_its_way(session)
        told = Task(kind=TaskKind.BY_CALL, key="1:2027-03-15", dose_id=1)
        task_id = open_task(session, 1, told, now=world.clock())
        assert task_id is not None
        close_task(session, 1, task_id, outcome="told", now=world.clock(), who=WHO)
        open_task(
            session, 1, Task(kind=TaskKind.SILENT, key="4:2027-04-01", dose_id=4), now=world.clock()
        )
        burnt = Task(kind=TaskKind.BURNT, key="1:2027-03-15", household_id=enrolled.household_id)
        open_task(session, 1, burnt, now=world.clock())
        session.add(
            PlantingRow(
                association_id=1,
                plot_id=enrolled.plot_id,
                code="S0",
                crop="maize-grain",
                planted_on=date(2026, 9, 1),
                season=Season.RAINS,
                closed_on=HELD_ON,
                recorded_at=world.clock(),
            )
        )
        _localities(session)
        session.add(
            UssdSessionRow(
                association_id=1,
                route_id=1,
                session=SESSION,
                number=PHONE,
                state={},
                shown=[],
                finished=False,
                expires_at=datetime(2028, 1, 1, tzinfo=UTC),
            )
        )
        session.add(other_association(world.clock()))


def _on_its_way(session: Session) -> None:
    """Add a long text that left in two parts and has no receipt yet."""
    draft = a_draft("left", due_at=FULL_NOW, expires_at=FULL_NOW)
    message_id = enqueue(session, 1, draft, now=FULL_NOW)
    assert message_id is not None
    session.get_one(MessageRow, message_id).state = State.SUBMITTED
    session.add_all(
        MessagePartRow(
            association_id=1,
            message_id=message_id,
            route_id=1,
            number=number,
            gateway_id=f"g{number}",
            state=State.SUBMITTED,
        )
        for number in (1, 2)
    )


def _localities(session: Session) -> None:
    noted = Noted(who=WHO, at=FULL_NOW)
    held = add_area_hold(session, 1, area_id=1, first_on=FAR_AWAY, last_on=FAR_AWAY, noted=noted)
    span = SeasonSpan(season=Season.DRY, first_on=FAR_AWAY, last_on=FAR_AWAY)
    add_season_span(session, 1, area_id=None, span=span, noted=noted)
    figure = LocalValue(key=LocalKey.SEASON_DAYS, value="125", source="a trial", crop="maize-grain")
    add_local_value(session, 1, figure, noted=noted)
    entry = AuditRow(
        at=FULL_NOW,
        who=WHO,
        what="entered",
        subject=HOLD,
        subject_id=held.id,
        origin="form",
        detail={"before": None, "after": {}, "moved": []},
    )
    audit(session, 1, entry)
