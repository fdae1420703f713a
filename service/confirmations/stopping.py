"""Somebody asks by voice, or a person reads it so: the texts to a phone end.

They end at once and for all who share the phone. Only the phone itself can start them again.
"""

from service.confirmations.outcomes import Desk
from service.outbox.enqueue import cancel_for_phone
from service.records.once import insert_once
from service.records.people import AuditRow, Consent, ConsentEventRow
from service.records.phones import phone_by_id
from service.records.tasks import audit


def stop_phone(desk: Desk, phone_id: int) -> bool:
    """End all texts to a phone; return False where it had stopped before.

    No text confirms it, since nobody sent one. What is being sent this second is looked at once
    more just before it leaves, so it does not go either.
    """
    phone = phone_by_id(desk.session, desk.association_id, phone_id)
    if phone.stopped() or not _note(desk, phone_id, nth=len(phone.consents)):
        return False
    cancel_for_phone(desk.session, desk.association_id, phone_id, now=desk.now, why="stopped")
    audit(
        desk.session,
        desk.association_id,
        AuditRow(
            at=desk.now,
            who=desk.noted_by or "",
            what="texts stopped",
            subject="phone",
            subject_id=phone_id,
            origin=desk.source.value,
            detail={},
        ),
    )
    return True


def _note(desk: Desk, phone_id: int, *, nth: int) -> bool:
    # numbered by what was said before: two people noting the same wish at once write it once
    added = insert_once(
        desk.session,
        ConsentEventRow,
        {
            "association_id": desk.association_id,
            "phone_id": phone_id,
            "household_id": None,
            "kind": Consent.STOPPED,
            "on": desk.today,
            "asked_by": desk.noted_by or "",
            "wording": "",
            "key": f"stop:{phone_id}:{nth}",
            "recorded_at": desk.now,
        },
    )
    return added is not None
