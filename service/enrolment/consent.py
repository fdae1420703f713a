"""What a household answered, face to face, when it was asked about texts."""

from datetime import date

from service.confirmations.outcomes import Desk
from service.enrolment.book import write_down
from service.enrolment.entries import ConsentEntry, Said
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.ranges import line_fault
from service.enrolment.results import ConsentOutcome, ConsentRecorded, ConsentRefused, Stopped
from service.records.enrolment import consent_by_key
from service.records.intake import add
from service.records.limits import LIMITS
from service.records.people import Consent, ConsentEventRow
from service.records.phones import PhoneBundle


def check_consent(entry: ConsentEntry, *, today: date) -> tuple[Fault, ...]:
    """Return what is wrong with a consent entry; of a no, the day alone is asked."""
    faults = [_day_fault(entry.asked_on, today)]
    if entry.said is Said.YES:
        faults.append(line_fault("asked_by", entry.asked_by, limit="asked_by"))
        faults.append(_wording_fault(entry.wording))
    return tuple(fault for fault in faults if fault is not None)


def save_consent(
    desk: Desk, household_id: int, phone: PhoneBundle, entry: ConsentEntry
) -> ConsentOutcome | Fault:
    """Append a spoken yes; a no leaves an audit row alone, for it may be one of several homes.

    A yes of the same day with other words or another asker is refused: what was said is never
    rewritten.
    """
    ids = {"phone_id": phone.phone.id}
    if entry.said is Said.NO:
        write_down(desk, "consent refused", "household", household_id, ids=ids)
        return ConsentRefused()
    if phone.stopped():
        return Stopped(phone_id=phone.phone.id)
    key = f"verbal:{phone.phone.id}:{household_id}:{entry.asked_on.isoformat()}"
    asked_by, wording = entry.asked_by.strip(), entry.wording.strip()
    standing = consent_by_key(desk.session, desk.association_id, key)
    if standing is not None:
        if (standing.asked_by, standing.wording) != (asked_by, wording):
            return Fault(field="wording", code=FaultCode.OTHER_WORDS)
        return ConsentRecorded(on=entry.asked_on)
    row = ConsentEventRow(
        association_id=desk.association_id,
        phone_id=phone.phone.id,
        household_id=household_id,
        kind=Consent.VERBAL,
        on=entry.asked_on,
        asked_by=asked_by,
        wording=wording,
        key=key,
        recorded_at=desk.now,
    )
    add(desk.session, row)
    write_down(desk, "consent recorded", "household", household_id, ids=ids)
    return ConsentRecorded(on=entry.asked_on)


def _day_fault(asked_on: date, today: date) -> Fault | None:
    if asked_on > today:
        return Fault(field="asked_on", code=FaultCode.NOT_YET, values={"latest": today})
    if asked_on < LIMITS.first_asked:
        values = {"earliest": LIMITS.first_asked}
        return Fault(field="asked_on", code=FaultCode.TOO_EARLY, values=values)
    return None


def _wording_fault(wording: str) -> Fault | None:
    # it may have been read from several lines, so only its length is limited
    if not wording.strip():
        return Fault(field="wording", code=FaultCode.NEEDED)
    most = LIMITS.characters["wording"]
    if len(wording.strip()) > most:
        return Fault(field="wording", code=FaultCode.TOO_LONG, values={"most": most})
    return None
