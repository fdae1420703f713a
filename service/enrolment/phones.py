"""A household's phone: its number in one stored form, and whom it serves besides."""

from dataclasses import dataclass

from service.confirmations.outcomes import Desk
from service.enrolment.apart import tell_apart
from service.enrolment.book import write_down
from service.enrolment.entries import PhoneEntry, Share
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.people import Register, language_fault
from service.enrolment.ranges import line_fault
from service.enrolment.results import PhoneAdded
from service.messages.phone import PhoneRefusedError, parse_phone
from service.records.intake import add
from service.records.people import HouseholdPhoneRow, HouseholdRow, PhoneRow
from service.records.phones import PhoneBundle, phone_by_number


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialled:
    """A number that may be used; `bundle` is its phone, where the association knows it."""

    number: str
    typed: str
    language: str | None
    bundle: PhoneBundle | None

    @property
    def households(self) -> frozenset[int]:
        """Return the ids of the households that it serves already."""
        served = () if self.bundle is None else self.bundle.households
        return frozenset(household.id for household in served)


def check_phone(desk: Desk, entry: PhoneEntry, register: Register) -> Dialled | tuple[Fault, ...]:
    """Return the number, or why it cannot be used.

    A number of another association is a new one here, and nothing tells of the other.
    """
    typed = entry.number.strip()
    line = line_fault("number", typed, limit="typed")
    language = language_fault("phone_language", entry.phone_language, register.rules)
    found = tuple(fault for fault in (line, language) if fault is not None)
    if found:
        return found
    try:
        number = parse_phone(
            typed,
            region=register.association.country,
            allowed_countries=register.rules.allowed_countries,
            test_numbers=register.rules.test_numbers,
        )
    except PhoneRefusedError as error:
        return (Fault(field="number", code=FaultCode(error.code)),)
    bundle = phone_by_number(desk.session, desk.association_id, number)
    others = _others(bundle, register.row)
    if others and entry.share is Share.ASK and not _serves(bundle, register.row):
        named = tuple((home.code, home.alias) for home in others)
        return (Fault(field="number", code=FaultCode.ALREADY_USED, values={"households": named}),)
    return Dialled(number=number, typed=typed, language=entry.phone_language, bundle=bundle)


def save_phone(desk: Desk, household: HouseholdRow, dialled: Dialled) -> PhoneAdded:
    """Let a phone serve a household; what both are told apart by is settled at once."""
    phone = _row(desk, household, dialled)
    if not _serves(dialled.bundle, household):
        link = HouseholdPhoneRow(
            association_id=desk.association_id, household_id=household.id, phone_id=phone.id
        )
        add(desk.session, link)
        write_down(desk, "enrolled", "phone", phone.id, ids={"household_id": household.id})
    signs = tell_apart(desk, household)
    if signs:
        columns = tuple(dict.fromkeys(sign.sign.value for sign in signs))
        write_down(desk, "relabelled", "household", household.id, columns=columns)
    return PhoneAdded(
        phone_id=phone.id,
        number=phone.number,
        shared_with=tuple(home.code for home in _others(dialled.bundle, household)),
        stopped=dialled.bundle is not None and dialled.bundle.stopped(),
        new_signs=signs,
    )


def _row(desk: Desk, household: HouseholdRow, dialled: Dialled) -> PhoneRow:
    if dialled.bundle is not None:
        return dialled.bundle.phone
    row = PhoneRow(
        association_id=desk.association_id,
        number=dialled.number,
        typed=dialled.typed,
        language=dialled.language or household.language,
        muted_until=None,
        recorded_at=desk.now,
    )
    add(desk.session, row)
    return row


def _others(bundle: PhoneBundle | None, household: HouseholdRow | None) -> list[HouseholdRow]:
    served = () if bundle is None else bundle.households
    return [home for home in served if household is None or home.id != household.id]


def _serves(bundle: PhoneBundle | None, household: HouseholdRow | None) -> bool:
    served = () if bundle is None else bundle.households
    return household is not None and any(home.id == household.id for home in served)
