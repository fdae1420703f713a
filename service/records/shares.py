"""Shares of an association: households planned together, so that several planners divide the work.

A share is a block of household ids. What a phone joins is planned as one, in the block of the
lowest id among it, whoever looks; so no two planners ever hold the same household or phone.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import datetime

from sqlalchemy import ForeignKey, Select, UniqueConstraint, or_, select
from sqlalchemy.orm import Mapped, mapped_column

from service.records.base import Base
from service.records.engine import Session
from service.records.once import insert_once
from service.records.people import HouseholdPhoneRow, HouseholdRow

HOUSEHOLDS_A_BLOCK = 200
Link = tuple[int, int]
"""A phone's id and that of a household it serves."""


class PlanShareRow(Base):
    """A block of an association's households, and when a planner last brought it up to date."""

    __tablename__ = "plan_share"
    __table_args__ = (UniqueConstraint("association_id", "block"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    association_id: Mapped[int] = mapped_column(ForeignKey("association.id"))
    block: Mapped[int]
    planned_at: Mapped[datetime | None]


def ensure_shares(session: Session, association_id: int) -> list[int]:
    """Return the blocks that hold households, in order, each with a row from now on."""
    number = HouseholdRow.id // HOUSEHOLDS_A_BLOCK
    blocks = session.scalars(
        select(number).where(HouseholdRow.association_id == association_id).distinct()
    ).all()
    known = session.scalars(
        select(PlanShareRow.block).where(PlanShareRow.association_id == association_id)
    ).all()
    for block in sorted(set(blocks) - set(known)):
        values = {"association_id": association_id, "block": block, "planned_at": None}
        insert_once(session, PlanShareRow, values)
    return sorted(blocks)


def take_share(session: Session, association_id: int, block: int) -> PlanShareRow:
    """Return a block's share, once no other planner holds it; it is held until the commit."""
    return session.scalars(_held(association_id).where(PlanShareRow.block == block)).one()


def take_oldest_share(
    session: Session, association_id: int, *, before: datetime, now: datetime
) -> PlanShareRow | None:
    """Return the share that waited longest, of those that nobody holds, None where none is due.

    A share is due if it was last planned before an instant, or, by a clock that was wrong, after
    now.
    """
    planned_at = PlanShareRow.planned_at
    return session.scalars(
        _held(association_id, others_too=False)
        .where(or_(planned_at.is_(None), planned_at < before, planned_at > now))
        .order_by(planned_at.is_not(None), planned_at, PlanShareRow.block)
        .limit(1)
    ).one_or_none()


def _held(association_id: int, *, others_too: bool = True) -> Select[PlanShareRow]:
    query = select(PlanShareRow).where(PlanShareRow.association_id == association_id)
    return query.with_for_update(skip_locked=not others_too)


def households_of_share(session: Session, association_id: int, block: int) -> list[int]:
    """Return the ids of the households that are planned with a block, in order."""
    first = block * HOUSEHOLDS_A_BLOCK
    own = set(
        session.scalars(
            select(HouseholdRow.id).where(
                HouseholdRow.association_id == association_id,
                HouseholdRow.id.between(first, first + HOUSEHOLDS_A_BLOCK - 1),
            )
        )
    )
    known, links = own, set[Link]()
    while True:
        links = _links(session, association_id, known)
        joined = known | {household_id for _, household_id in links}
        if joined == known:
            break
        known = joined
    return sorted(
        household_id
        for circle in circles(known, links)
        if min(circle) in own
        for household_id in circle
    )


def _links(session: Session, association_id: int, households: Collection[int]) -> set[Link]:
    phones = select(HouseholdPhoneRow.phone_id).where(
        HouseholdPhoneRow.association_id == association_id,
        HouseholdPhoneRow.household_id.in_(households),
    )
    rows = session.execute(
        select(HouseholdPhoneRow.phone_id, HouseholdPhoneRow.household_id).where(
            HouseholdPhoneRow.association_id == association_id,
            HouseholdPhoneRow.phone_id.in_(phones),
        )
    )
    return {(phone_id, household_id) for phone_id, household_id in rows}


def circles(households: Iterable[int], links: Iterable[Link]) -> list[frozenset[int]]:
    """Return the households in circles that phones join, each circle by its lowest id. Pure."""
    circle_of = {household_id: {household_id} for household_id in households}
    served: dict[int, list[int]] = defaultdict(list)
    for phone_id, household_id in links:
        served[phone_id].append(household_id)
    for first, *others in served.values():
        for other in others:
            mine, theirs = circle_of[first], circle_of[other]
            if mine is not theirs:
                mine |= theirs
                circle_of.update(dict.fromkeys(theirs, mine))
    found = {min(circle): frozenset(circle) for circle in circle_of.values()}
    return [found[lowest] for lowest in sorted(found)]
