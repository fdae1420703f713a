"""The last look before texts leave: are they still wanted, still right, still allowed?"""

from collections.abc import Mapping, Sequence
from datetime import date

from service.messages.kinds import KINDS
from service.outbox.claim import Claimed, Reason
from service.outbox.evenings import texts_left
from service.records.consent_rules import agreed_homes, last_stop, unanswered
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.last_looks import (
    DoseLook,
    PhoneLook,
    UnreadLook,
    dose_looks,
    phone_looks,
    unread_looks,
)
from service.records.lookups import letter_of_dose


def last_look(session: Session, association_id: int, batch: Sequence[Claimed]) -> Reason:
    """Return what says in a few words why a claimed text may no longer go, or None where it may.

    It has to be asked of each text of the batch, in the batch's order: of two for one evening only
    one may go. All that it goes by is read here, in a fixed number of looks.
    """
    return _Look(session, association_id, batch).why_not


class _Look:
    def __init__(self, session: Session, association_id: int, batch: Sequence[Claimed]) -> None:
        self._session = session
        self._association_id = association_id
        phones = {item.phone_id for item in batch if item.phone_id is not None}
        started = [item for item in batch if item.phone_id is not None and item.evening is not None]
        ids = {item.phone_id for item in started if item.phone_id is not None}
        self._phones: Mapping[int, PhoneLook] = {}
        self._unread: Mapping[int, Sequence[UnreadLook]] = {}
        self._doses: Mapping[int, Sequence[DoseLook]] = {}
        self._left: dict[tuple[int, date], set[int]] = {}
        if phones:
            self._phones = phone_looks(session, association_id, phones)
        if started:
            messages = [item.message_id for item in started]
            since = min(item.evening for item in started if item.evening is not None)
            self._unread = unread_looks(session, association_id, ids)
            self._doses = dose_looks(session, association_id, messages)
            self._left = texts_left(session, association_id, phones=ids, since=since)

    def why_not(self, item: Claimed) -> str | None:
        """Return why a text may not go; one that may not stands in no other's way any more."""
        if item.phone_id is None:
            return None
        why = self._why_not(item, item.phone_id)
        if why is not None and item.evening is not None:
            self._left.get((item.phone_id, item.evening), set()).discard(item.message_id)
        return why

    def _why_not(self, item: Claimed, phone_id: int) -> str | None:
        phone = self._phones[phone_id]
        if phone.number != item.number:
            return "number changed"
        if item.evening is None:
            return _why_not_answer(phone, item)
        if item.kind == "consent":
            if unanswered(phone.said) is None:
                return "no invitation waits"
        elif not agreed_homes(phone.said, phone.homes):
            return "consent ended"
        unread = self._unread.get(phone_id, ())
        if any(text.pauses for text in unread):
            return "a refusal waits to be read"
        waiting = "".join(text.plots for text in unread)
        return self._why_not_doses(item, waiting) or self._why_not_today(
            item, phone_id, item.evening
        )

    def _why_not_doses(self, item: Claimed, waiting: str) -> str | None:
        for dose in self._doses.get(item.message_id, ()):
            if dose.state is not DoseState.PLANNED:
                return "dose closed"
            if dose.revision != dose.told_revision:
                return "dose changed"
            if waiting and (self._letter(dose.dose_id) or "-") in waiting:
                return "a text on its plot waits to be read"
        return None

    def _why_not_today(self, item: Claimed, phone_id: int, evening: date) -> str | None:
        if KINDS[item.kind].beyond_limits:
            return None
        others = self._left.get((phone_id, evening), set()) - {item.message_id}
        return "one text a day" if others else None

    def _letter(self, dose_id: int) -> str | None:
        return letter_of_dose(self._session, self._association_id, dose_id)


def _why_not_answer(phone: PhoneLook, item: Claimed) -> str | None:
    stopped_at = last_stop(phone.said)
    if KINDS[item.kind].beyond_limits or stopped_at is None:
        return None
    return "consent ended" if stopped_at > item.due_at else None
