"""What a test may look at in a world's database, beside what its phones hold."""

from collections.abc import Iterable
from typing import TypeVar

from sqlalchemy import select, text

from service.messages.lifecycle import SENT, State
from service.records.base import Base
from service.records.fields import DoseRow, DoseState, FactKind, PlantingFactRow
from service.records.tasks import open_tasks
from service.records.traffic import CallTaskRow, InboundRow, MessageDoseRow, MessageRow, TaskKind
from tests.world import Enrolled, World, doses

DOSE_KINDS = ("dose", "repeat", "digest")  # how the kinds of text that ask for a dose begin

Row = TypeVar("Row", bound=Base)


def rows(world: World, table: type[Row]) -> list[Row]:
    """Return every row of a table, the oldest first."""
    with world.services.sessions.read() as session:
        return list(session.scalars(select(table).order_by(text("id"))))


def messages(world: World, *kinds: str) -> list[MessageRow]:
    """Return the texts whose kind begins with one of `kinds`, or all."""
    return [row for row in rows(world, MessageRow) if row.kind.startswith(kinds or ("",))]


def states(world: World, *kinds: str) -> list[State]:
    """Return the states of those texts."""
    return [row.state for row in messages(world, *kinds)]


def sent_kinds(world: World) -> list[str]:
    """Return the kinds of the texts that have left or may have left, in order."""
    return [row.kind for row in messages(world) if row.state in SENT and row.token is not None]


def calls(world: World, *kinds: TaskKind) -> list[CallTaskRow]:
    """Return the open calls of these kinds, or all, as the coordinator sees them."""
    with world.services.sessions.read() as session:
        return [row for row in open_tasks(session, 1) if not kinds or row.kind in kinds]


def to_read(world: World) -> list[InboundRow]:
    """Return the texts that wait for a person."""
    return [row for row in rows(world, InboundRow) if row.to_read and row.read_at is None]


def facts(world: World, enrolled: Enrolled, *kinds: FactKind) -> list[PlantingFactRow]:
    """Return a planting's facts of these kinds, in the order they came."""
    return [
        row
        for row in rows(world, PlantingFactRow)
        if row.planting_id == enrolled.planting_id and row.kind in kinds
    ]


def dose(world: World, enrolled: Enrolled, number: int) -> DoseRow:
    """Return one dose of a planting."""
    return next(row for row in doses(world, enrolled) if row.number == number)


def dose_states(world: World, planted: Iterable[Enrolled], number: int) -> list[DoseState]:
    """Return how one dose stands on each of several plots."""
    return [dose(world, enrolled, number).state for enrolled in planted]


def links(world: World, message_ids: set[int]) -> list[MessageDoseRow]:
    """Return which doses these texts tell of."""
    return [row for row in rows(world, MessageDoseRow) if row.message_id in message_ids]
