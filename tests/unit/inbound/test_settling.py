"""What a person decides about a text is kept, with who decided; a call alone settles no refusal."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from service.inbound.settling import (
    Reader,
    Settling,
    ask_for_call,
    ask_to_enrol,
    settle,
    settlings,
    stop_texts,
)
from service.inbound.waiting_texts import WaitingText, waiting_texts
from service.planning.send_window import local_day
from service.records.inbox import reading_list
from service.records.people import AuditRow
from service.records.plantings import association
from service.records.tasks import open_tasks
from service.records.traffic import InboundRow, TaskKind
from tests.world import PHONE, ZONE, World, enrol

STRANGER = "+255100000099"
WHO = "Neema Test"
REFUSAL = "we do not want any of this, A1"


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    world = World(folder=tmp_path)
    enrol(world)
    yield world
    world.close()


def decide(world: World, decision: Callable[[Reader, WaitingText], object]) -> object:
    """Let a person decide about the oldest text that waits."""
    with world.services.sessions.begin() as session:
        row = association(session, 1)
        text = waiting_texts(session, row, reading_list(session, 1))[0]
        reader = Reader(
            session=session,
            association=row,
            who=WHO,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
        )
        return decision(reader, text)


def offered(world: World) -> tuple[Settling, ...]:
    """Return what may be decided about the oldest text that waits."""
    found: list[Settling] = []
    decide(world, lambda _, text: found.extend(settlings(text)))
    return tuple(found)


def waits(world: World) -> list[str]:
    """Return the texts that still wait."""
    with world.services.sessions.read() as session:
        return [row.text for row in reading_list(session, 1)]


def read_by(world: World) -> list[tuple[str | None, str | None]]:
    """Return who read each text, and as what."""
    with world.services.sessions.read() as session:
        rows = session.scalars(select(InboundRow).order_by(InboundRow.id))
        return [(row.read_by, row.read_as) for row in rows]


def noted(world: World) -> list[tuple[str, object]]:
    """Return what the record of who did what holds of texts read."""
    with world.services.sessions.read() as session:
        rows = session.scalars(select(AuditRow).where(AuditRow.what == "text read"))
        return [(row.who, row.detail["as"]) for row in rows]


def asked_for(world: World) -> list[TaskKind]:
    """Return the kinds of calls that are open because of a text."""
    with world.services.sessions.read() as session:
        return [task.kind for task in open_tasks(session, 1) if task.inbound_id is not None]


def test_an_unclear_text_may_be_left_or_called_about(world: World) -> None:
    world.text("what is this", at="2027-03-14T12:00")

    choices = offered(world)
    decide(world, ask_for_call)

    assert choices == (Settling.CALL, Settling.NOTHING)
    assert waits(world) == []
    assert read_by(world) == [(WHO, "call")]
    assert noted(world) == [(WHO, "call")]
    assert asked_for(world) == [TaskKind.UNREAD]


def test_a_call_about_what_may_be_a_refusal_leaves_it_waiting(world: World) -> None:
    world.text(REFUSAL, at="2027-03-14T12:00")

    choices = offered(world)
    decide(world, ask_for_call)
    waited = waits(world)
    decide(world, lambda reader, text: settle(reader, text, Settling.GO_ON))

    assert choices == (Settling.GO_ON, Settling.STOP, Settling.CALL)
    assert waited == [REFUSAL]
    assert waits(world) == []
    assert noted(world) == [(WHO, "call"), (WHO, "go-on")]
    assert asked_for(world) == [TaskKind.UNREAD]


def test_texts_that_are_stopped_are_stopped_for_good(world: World) -> None:
    world.text(REFUSAL, at="2027-03-14T12:00")
    before = len(world.bodies())

    decide(world, stop_texts)
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-15T18:00")

    assert read_by(world) == [(WHO, "stop")]
    assert len(world.bodies()) == before


def test_a_stranger_is_put_on_the_list_to_enrol_once(world: World) -> None:
    world.text("hello, me too", number=STRANGER, at="2027-03-14T12:00")
    world.text("me too please", number=STRANGER, at="2027-03-14T12:05")

    choices = offered(world)
    first = decide(world, ask_to_enrol)
    second = decide(world, ask_to_enrol)

    assert choices == (Settling.ENROL, Settling.CALL, Settling.NOT_FOR_US)
    assert first is not None
    assert second == first
    assert asked_for(world) == [TaskKind.ENROL]
    assert waits(world) == []


def test_a_stranger_whose_text_says_stop_has_nothing_to_stop(world: World) -> None:
    world.text("no more of this nonsense", number=STRANGER, at="2027-03-14T12:00")

    decide(world, stop_texts)
    world.tick("2027-03-14T18:00")

    assert read_by(world) == [(WHO, "stop")]
    assert world.bodies(PHONE)  # the enrolled phone is told its dose as ever
