"""What the last look before a send asks, for a whole batch at once and without objects."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from sqlalchemy import select

from service.records.consent_rules import Said
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState
from service.records.many_ids import Question, of_tenant
from service.records.people import ConsentEventRow, HouseholdPhoneRow, PhoneRow
from service.records.traffic import InboundRow, MessageDoseRow


class PhoneLook(NamedTuple):
    """A phone's number, the ids of the households it serves, and what was said on it, in order."""

    number: str
    homes: Collection[int]
    said: Sequence[Said]


class UnreadLook(NamedTuple):
    """A text that waits to be read: whether it pauses its phone, and the letters it names."""

    pauses: bool
    plots: str


class DoseLook(NamedTuple):
    """A dose that a text tells of, at which revision, and as it stands now."""

    dose_id: int
    told_revision: int
    revision: int
    state: DoseState


_HOMES = Question(
    lambda one_of: select(HouseholdPhoneRow.phone_id, HouseholdPhoneRow.household_id).where(
        of_tenant(HouseholdPhoneRow.association_id), one_of(HouseholdPhoneRow.phone_id)
    )
)
_SAID = Question(
    lambda one_of: (
        select(
            ConsentEventRow.phone_id,
            ConsentEventRow.kind,
            ConsentEventRow.household_id,
            ConsentEventRow.recorded_at,
        )
        .where(of_tenant(ConsentEventRow.association_id), one_of(ConsentEventRow.phone_id))
        .order_by(ConsentEventRow.id)
    )
)
_NUMBERS = Question(
    lambda one_of: select(PhoneRow.id, PhoneRow.number).where(
        of_tenant(PhoneRow.association_id), one_of(PhoneRow.id)
    )
)
_UNREAD = Question(
    lambda one_of: (
        select(InboundRow.phone_id, InboundRow.pauses, InboundRow.plots)
        .where(
            of_tenant(InboundRow.association_id),
            one_of(InboundRow.phone_id),
            InboundRow.to_read,
            InboundRow.read_at.is_(None),
        )
        .order_by(InboundRow.received_at, InboundRow.id)
    )
)
_DOSES = Question(
    lambda one_of: (
        select(
            MessageDoseRow.message_id,
            MessageDoseRow.dose_id,
            MessageDoseRow.revision,
            DoseRow.revision,
            DoseRow.state,
        )
        .join(DoseRow, DoseRow.id == MessageDoseRow.dose_id)
        .where(
            of_tenant(MessageDoseRow.association_id),
            of_tenant(DoseRow.association_id),
            one_of(MessageDoseRow.message_id),
        )
        .order_by(MessageDoseRow.id)
    )
)


def phone_looks(
    session: Session, association_id: int, phone_ids: Collection[int]
) -> Mapping[int, PhoneLook]:
    """Return phones by their ids."""
    own = {"association_id": association_id}
    homes: dict[int, set[int]] = defaultdict(set)
    said: dict[int, list[Said]] = defaultdict(list)
    for phone_id, household_id in _HOMES.ask(session, phone_ids, own):
        homes[phone_id].add(household_id)
    for phone_id, kind, household_id, recorded_at in _SAID.ask(session, phone_ids, own):
        said[phone_id].append(Said(kind, household_id, recorded_at))
    return {
        phone_id: PhoneLook(number=number, homes=homes[phone_id], said=said[phone_id])
        for phone_id, number in _NUMBERS.ask(session, phone_ids, own)
    }


def unread_looks(
    session: Session, association_id: int, phone_ids: Collection[int]
) -> Mapping[int, Sequence[UnreadLook]]:
    """Return, by phone, the texts from it that wait to be read."""
    found: dict[int, list[UnreadLook]] = defaultdict(list)
    for phone_id, pauses, plots in _UNREAD.ask(
        session, phone_ids, {"association_id": association_id}
    ):
        found[phone_id].append(UnreadLook(pauses=pauses, plots=plots))
    return found


def dose_looks(
    session: Session, association_id: int, message_ids: Collection[int]
) -> Mapping[int, Sequence[DoseLook]]:
    """Return, by text, the doses that it tells of, in its order."""
    found: dict[int, list[DoseLook]] = defaultdict(list)
    for message_id, *dose in _DOSES.ask(session, message_ids, {"association_id": association_id}):
        found[message_id].append(DoseLook._make(dose))
    return found
