"""Phones, the households they serve, and what was said about consent."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import select

from service.records.consent_rules import Said, agreed_homes, has_stopped, unanswered
from service.records.engine import Session
from service.records.people import (
    ConsentEventRow,
    HouseholdPhoneRow,
    HouseholdRow,
    PhoneRow,
)

FEW = 500  # phones that are asked for by their ids; of more, all are looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneBundle:
    """A phone, the households it serves (by code) and its consent events in order."""

    phone: PhoneRow
    households: tuple[HouseholdRow, ...]
    consents: tuple[ConsentEventRow, ...]

    @property
    def shared(self) -> bool:
        """Say whether more than one household is served."""
        return len(self.households) > 1

    def consenting(self) -> frozenset[int]:
        """Return the ids of the households that may be texted on this phone now."""
        return agreed_homes(self._said(), {household.id for household in self.households})

    def uninvited(self) -> ConsentEventRow | None:
        """Return the newest spoken yes that the phone has not answered, unless it said STOP."""
        place = unanswered(self._said())
        return None if place is None else self.consents[place]

    def stopped(self) -> bool:
        """Say whether the phone's last own word was to stop."""
        return has_stopped(self._said())

    def _said(self) -> list[Said]:
        return [
            Said(kind=event.kind, household_id=event.household_id, recorded_at=event.recorded_at)
            for event in self.consents
        ]


def phones(
    session: Session, association_id: int, *, households: Collection[int] | None = None
) -> list[PhoneBundle]:
    """Return the phones (that serve these households, or all) of the association, oldest first."""
    query = select(PhoneRow).where(PhoneRow.association_id == association_id)
    if households is not None:
        query = query.where(PhoneRow.id.in_(phone_ids_of(session, association_id, households)))
    rows = session.scalars(query.order_by(PhoneRow.id)).all()
    return _bundles(session, association_id, list(rows))


def phone_ids_of(
    session: Session, association_id: int, households: Collection[int]
) -> frozenset[int]:
    """Return the ids of the phones that serve one of these households, or several."""
    return frozenset(
        session.scalars(
            select(HouseholdPhoneRow.phone_id).where(
                HouseholdPhoneRow.association_id == association_id,
                HouseholdPhoneRow.household_id.in_(households),
            )
        )
    )


def phone_by_number(session: Session, association_id: int, number: str) -> PhoneBundle | None:
    """Return the phone with this number (E.164), or None where nobody has it."""
    row = session.scalars(
        select(PhoneRow).where(PhoneRow.association_id == association_id, PhoneRow.number == number)
    ).one_or_none()
    return None if row is None else _bundles(session, association_id, [row])[0]


def phone_by_id(session: Session, association_id: int, phone_id: int) -> PhoneBundle:
    """Return the phone with this id."""
    row = session.scalars(
        select(PhoneRow).where(PhoneRow.association_id == association_id, PhoneRow.id == phone_id)
    ).one()
    return _bundles(session, association_id, [row])[0]


def phones_by_ids(
    session: Session, association_id: int, phone_ids: Collection[int]
) -> dict[int, PhoneBundle]:
    """Return those of these phones that there are, by id, oldest first."""
    rows = session.scalars(
        select(PhoneRow)
        .where(PhoneRow.association_id == association_id, PhoneRow.id.in_(phone_ids))
        .order_by(PhoneRow.id)
    ).all()
    return {bundle.phone.id: bundle for bundle in _bundles(session, association_id, list(rows))}


def _bundles(session: Session, association_id: int, rows: list[PhoneRow]) -> list[PhoneBundle]:
    households: dict[int, list[HouseholdRow]] = defaultdict(list)
    consents: dict[int, list[ConsentEventRow]] = defaultdict(list)
    links = (
        select(HouseholdPhoneRow.phone_id, HouseholdRow)
        .join(HouseholdRow, HouseholdRow.id == HouseholdPhoneRow.household_id)
        .where(HouseholdPhoneRow.association_id == association_id)
        .order_by(HouseholdRow.code)
    )
    events = (
        select(ConsentEventRow)
        .where(ConsentEventRow.association_id == association_id)
        .order_by(ConsentEventRow.id)
    )
    if len(rows) <= FEW:
        ids = [row.id for row in rows]
        links = links.where(HouseholdPhoneRow.phone_id.in_(ids))
        events = events.where(ConsentEventRow.phone_id.in_(ids))
    for phone_id, household in session.execute(links):
        households[phone_id].append(household)
    for event in session.scalars(events):
        consents[event.phone_id].append(event)
    return [
        PhoneBundle(
            phone=row, households=tuple(households[row.id]), consents=tuple(consents[row.id])
        )
        for row in rows
    ]
