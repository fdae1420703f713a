"""What Today shows beside its tasks: texts to read, holds, and what goes out this evening."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select

from service.messages.lifecycle import State
from service.records.engine import Session
from service.records.fields import HoldRow, PlantingRow, PlotRow
from service.records.people import HouseholdRow
from service.records.traffic import InboundRow, MessageRow


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldLine:
    """A hold, on which plot of which household it lies."""

    hold: HoldRow
    plot: PlotRow
    household: HouseholdRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgoing:
    """How many texts of a kind wait for an evening, and when the first of them goes."""

    kind: str
    evening: date
    count: int
    first_at: datetime


def first_to_read(session: Session, association_id: int, *, most: int) -> list[InboundRow]:
    """Return the first texts of the reading list: those that pause a phone, then the oldest."""
    return list(
        session.scalars(
            select(InboundRow)
            .where(
                InboundRow.association_id == association_id,
                InboundRow.to_read,
                InboundRow.read_at.is_(None),
            )
            .order_by(InboundRow.pauses.desc(), InboundRow.received_at, InboundRow.id)
            .limit(most)
        )
    )


def holds_on(
    session: Session, association_id: int, day: date, *, first: int, most: int
) -> list[HoldLine]:
    """Return the holds of open plantings that a day lies in, those that end first in front."""
    rows = session.execute(
        select(HoldRow, PlotRow, HouseholdRow)
        .join(PlantingRow, PlantingRow.id == HoldRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(
            HoldRow.association_id == association_id,
            HoldRow.first_on <= day,
            HoldRow.last_on >= day,
            PlantingRow.closed_on.is_(None),
        )
        .order_by(HoldRow.last_on, HouseholdRow.code, PlotRow.letter, HoldRow.id)
        .offset(first)
        .limit(most)
    )
    return [HoldLine(hold=hold, plot=plot, household=household) for hold, plot, household in rows]


def count_holds(session: Session, association_id: int, day: date) -> int:
    """Return how many holds of open plantings a day lies in."""
    return session.execute(
        select(func.count())
        .select_from(HoldRow)
        .join(PlantingRow, PlantingRow.id == HoldRow.planting_id)
        .where(
            HoldRow.association_id == association_id,
            HoldRow.first_on <= day,
            HoldRow.last_on >= day,
            PlantingRow.closed_on.is_(None),
        )
    ).scalar_one()


def next_outgoing(session: Session, association_id: int, *, now: datetime) -> Sequence[Outgoing]:
    """Return what waits for the next evening on which a text goes, by kind; none: nothing waits."""
    rows = session.execute(
        select(
            MessageRow.kind,
            MessageRow.evening,
            func.count(),
            func.min(MessageRow.due_at),
        )
        .where(
            MessageRow.association_id == association_id,
            MessageRow.state == State.QUEUED,
            MessageRow.evening.is_not(None),
            MessageRow.expires_at > now,
        )
        .group_by(MessageRow.kind, MessageRow.evening)
        .order_by(MessageRow.evening, MessageRow.kind)
    ).all()
    waiting = [
        Outgoing(kind=kind, evening=evening, count=count, first_at=first_at)
        for kind, evening, count, first_at in rows
        if evening is not None
    ]
    return [each for each in waiting if each.evening == waiting[0].evening]
