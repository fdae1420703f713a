"""The phones of an association and what they texted, for showing them on the demo's page."""

from dataclasses import dataclass

from sqlalchemy import func, select

from service.records.engine import Session
from service.records.people import HouseholdPhoneRow, HouseholdRow, PhoneRow
from service.records.traffic import InboundRow

LISTED = 12  # phones a page, each with its last text


@dataclass(frozen=True, slots=True, kw_only=True)
class PretendPhone:
    """A phone and the names of those it serves."""

    id: int
    number: str
    language: str
    aliases: tuple[str, ...]


def count_phones(session: Session, association_id: int) -> int:
    """Return how many phones there are."""
    return session.execute(
        select(func.count()).where(PhoneRow.association_id == association_id)
    ).scalar_one()


def pretend_phones(session: Session, association_id: int, *, offset: int = 0) -> list[PretendPhone]:
    """Return one page of the phones, the last enrolled first."""
    rows = session.scalars(
        select(PhoneRow)
        .where(PhoneRow.association_id == association_id)
        .order_by(PhoneRow.id.desc())
        .offset(offset)
        .limit(LISTED)
    ).all()
    return _with_names(session, association_id, list(rows))


def pretend_phone(session: Session, association_id: int, phone_id: int) -> PretendPhone:
    """Return one phone."""
    row = session.scalars(
        select(PhoneRow).where(PhoneRow.association_id == association_id, PhoneRow.id == phone_id)
    ).one()
    return _with_names(session, association_id, [row])[0]


def said_by_strangers(session: Session, association_id: int) -> list[InboundRow]:
    """Return the last texts from numbers that nobody has enrolled, newest first."""
    return list(
        session.scalars(
            select(InboundRow)
            .where(InboundRow.association_id == association_id, InboundRow.phone_id.is_(None))
            .order_by(InboundRow.id.desc())
            .limit(LISTED)
        )
    )


def _with_names(session: Session, association_id: int, rows: list[PhoneRow]) -> list[PretendPhone]:
    served = session.execute(
        select(HouseholdPhoneRow.phone_id, HouseholdRow.alias)
        .join(HouseholdRow, HouseholdRow.id == HouseholdPhoneRow.household_id)
        .where(
            HouseholdPhoneRow.association_id == association_id,
            HouseholdPhoneRow.phone_id.in_([row.id for row in rows]),
        )
        .order_by(HouseholdRow.code)
    ).all()
    return [
        PretendPhone(
            id=row.id,
            number=row.number,
            language=row.language,
            aliases=tuple(alias for phone_id, alias in served if phone_id == row.id),
        )
        for row in rows
    ]
