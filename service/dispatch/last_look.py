"""The last look before a text leaves: is it still wanted, still right, still allowed?"""

from datetime import date

from service.messages.kinds import KINDS
from service.outbox.lookups import evenings_used, links_of
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.lookups import dose_by_id
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
    for link in links_of(session, association_id, row.id):
        dose = dose_by_id(session, association_id, link.dose_id)
        if dose.state is not DoseState.PLANNED:
            return "dose closed"
        if dose.revision != link.revision:
            return "dose changed"
    if not KINDS[row.kind].beyond_limits:
        used = evenings_used(session, association_id, since=evening, but=row.id)
        if (phone.phone.id, evening) in used:
            return "one text a day"
    return None
