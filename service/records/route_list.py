"""What the page of routes counts: texts that wait, doses that are to be told, the ceiling."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import exists, func, select

from service.messages.lifecycle import STILL_HERE, State
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState, PlantingRow, PlotRow
from service.records.people import AssociationRow, HouseholdPhoneRow, HouseholdRow
from service.records.traffic import MessageDoseRow, MessageRow, RouteRow


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDose:
    """A planned dose of a home that has a phone; `told`: some text about it has left."""

    dose_id: int
    due_on: date
    closes_on: date
    told: bool


def route_by_id(session: Session, association_id: int, route_id: int) -> RouteRow:
    """Return a route of the association.

    Raises:
        NoResultFound: the association has no such route.
    """
    return session.scalars(
        select(RouteRow).where(RouteRow.association_id == association_id, RouteRow.id == route_id)
    ).one()


def waiting_texts(session: Session, association_id: int, *, now: datetime) -> Mapping[int, int]:
    """Return how many texts wait in the queue of each route that has any."""
    rows = session.execute(
        select(MessageRow.route_id, func.count().label("texts"))
        .where(
            MessageRow.association_id == association_id,
            MessageRow.state == State.QUEUED,
            MessageRow.expires_at > now,
        )
        .group_by(MessageRow.route_id)
    )
    return {row.route_id: row.texts for row in rows}


def waiting_numbers(
    session: Session, association_id: int, route_id: int, *, now: datetime
) -> list[str]:
    """Return the number that each text in a route's queue goes to."""
    return list(
        session.scalars(
            select(MessageRow.number).where(
                MessageRow.association_id == association_id,
                MessageRow.route_id == route_id,
                MessageRow.state == State.QUEUED,
                MessageRow.expires_at > now,
            )
        )
    )


def doses_to_tell(
    session: Session, association_id: int, *, evening: date, due_until: date
) -> list[OpenDose]:
    """Return the planned doses that a text may tell of from an evening on, due up to a day.

    Homes that have not agreed to texts, or whose cans are not ready, are among them.
    """
    has_phone = exists().where(HouseholdPhoneRow.household_id == HouseholdRow.id)
    rows = session.execute(
        select(DoseRow.id, DoseRow.due_on, DoseRow.closes_on, DoseRow.told)
        .join(PlantingRow, PlantingRow.id == DoseRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .join(HouseholdRow, HouseholdRow.id == PlotRow.household_id)
        .where(
            DoseRow.association_id == association_id,
            DoseRow.state == DoseState.PLANNED,
            DoseRow.due_on <= due_until,
            DoseRow.closes_on > evening,
            PlantingRow.closed_on.is_(None),
            PlotRow.letter.is_not(None),
            HouseholdRow.needs_call.is_(False),
            has_phone,
        )
    )
    return [
        OpenDose(dose_id=dose_id, due_on=due_on, closes_on=closes_on, told=told)
        for dose_id, due_on, closes_on, told in rows
    ]


def doses_told_on(session: Session, association_id: int, evening: date) -> frozenset[int]:
    """Return the doses of which a text of this evening has left, or may have."""
    return frozenset(
        session.scalars(
            select(MessageDoseRow.dose_id)
            .join(MessageRow, MessageRow.id == MessageDoseRow.message_id)
            .where(
                MessageRow.association_id == association_id,
                MessageRow.evening == evening,
                MessageRow.token.is_not(None),
                MessageRow.state.not_in(STILL_HERE),
            )
        )
    )


def set_ceiling(session: Session, association_id: int, segments: int | None) -> int | None:
    """Set or lift the month's ceiling, in segments; return what stood before."""
    row = session.scalars(
        select(AssociationRow).where(AssociationRow.id == association_id).with_for_update()
    ).one()
    before, row.monthly_segments = row.monthly_segments, segments
    session.flush()
    return before
