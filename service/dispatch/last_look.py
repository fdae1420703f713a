"""The last look before a text leaves: is it still wanted, still right, still allowed?"""

from datetime import date

from service.messages.kinds import KINDS
from service.outbox.lookups import evenings_used, links_of
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.inbox import unread_of_phone
from service.records.lookups import dose_by_id, letter_of_dose
from service.records.people import Consent
from service.records.phones import PhoneBundle, phone_by_id
from service.records.traffic import MessageRow


def why_not(session: Session, association_id: int, row: MessageRow) -> str | None:
    """Return in a few words why a claimed text may no longer go, or None where it may."""
    if row.phone_id is None:
        return None
    phone = phone_by_id(session, association_id, row.phone_id)
    if phone.phone.number != row.number:
        return "number changed"
    if row.evening is None:
        return _why_not_answer(phone, row)
    return _why_not_started(session, association_id, phone, row, row.evening)


def _why_not_answer(phone: PhoneBundle, row: MessageRow) -> str | None:
    if KINDS[row.kind].beyond_limits or not phone.stopped():
        return None
    stops = [event for event in phone.consents if event.kind is not Consent.VERBAL]
    return "consent ended" if stops[-1].recorded_at > row.due_at else None


def _why_not_started(
    session: Session, association_id: int, phone: PhoneBundle, row: MessageRow, evening: date
) -> str | None:
    if row.kind == "consent":
        if phone.uninvited() is None:
            return "no invitation waits"
    elif not phone.consenting():
        return "consent ended"
    unread = unread_of_phone(session, association_id, phone.phone.id)
    if any(text.pauses for text in unread):
        return "a refusal waits to be read"
    waiting = "".join(text.plots for text in unread)
    return _why_not_doses(session, association_id, row, waiting=waiting) or _why_not_today(
        session, association_id, row, phone_id=phone.phone.id, evening=evening
    )


def _why_not_doses(
    session: Session, association_id: int, row: MessageRow, *, waiting: str
) -> str | None:
    for link in links_of(session, association_id, row.id):
        dose = dose_by_id(session, association_id, link.dose_id)
        if dose.state is not DoseState.PLANNED:
            return "dose closed"
        if dose.revision != link.revision:
            return "dose changed"
        if waiting and (letter_of_dose(session, association_id, dose.id) or "-") in waiting:
            return "a text on its plot waits to be read"
    return None


def _why_not_today(
    session: Session, association_id: int, row: MessageRow, *, phone_id: int, evening: date
) -> str | None:
    if KINDS[row.kind].beyond_limits:
        return None
    used = evenings_used(session, association_id, since=evening, but=row.id)
    return "one text a day" if (phone_id, evening) in used else None
