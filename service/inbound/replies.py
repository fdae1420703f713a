"""Answers to a grower's own text: at once, at any hour, and within limits.

At most 5 a phone and day, one `help` and one `unread` a day; a muted phone gets none. The
confirmation of a STOP and the warning of an early harvest are exempt.
"""

from dataclasses import dataclass, field
from datetime import datetime, time

from service.inbound.answers import Answer
from service.messages.kinds import KINDS
from service.outbox.enqueue import Draft, enqueue
from service.outbox.lookups import answers_since
from service.planning.drafts import language_of, voice_fields
from service.planning.send_window import (
    HELP_ONCE_IN,
    UNKNOWN_ONCE_IN,
    answer_window,
    at_local,
    local_day,
    zone_of,
)
from service.records.engine import Session
from service.records.people import AssociationRow
from service.records.phones import PhoneBundle
from service.records.traffic import InboundRow

ANSWERS_A_DAY = 5
ONCE_A_DAY = ("help", "unread", "welcome")


@dataclass(slots=True, kw_only=True)
class Replies:
    """The answers to one text, or to a choice in a menu.

    `said` holds each answer with the household that it is about, also those that a limit kept from
    being sent: a menu shows them all the same.
    """

    session: Session
    association: AssociationRow
    phone: PhoneBundle | None
    inbound: InboundRow
    now: datetime
    silent: bool = False
    sent: list[str] = field(default_factory=list)
    said: list[tuple[Answer, int | None]] = field(default_factory=list)

    def send(self, answer: Answer, *, household_id: int | None = None) -> bool:
        """Queue an answer if the limits allow it; say whether they did."""
        self.said.append((answer, household_id))
        if not self._allowed(answer.kind):
            return False
        window = answer_window(self.now)
        phone = self.phone
        wording = {} if phone is None else voice_fields(phone, household_id)
        draft = Draft(
            route_id=self.inbound.route_id,
            phone_id=None if phone is None else phone.phone.id,
            number=self.inbound.sender,
            kind=answer.kind,
            language=self.association.language if phone is None else language_of(phone),
            dedupe_key=f"answer:{self.inbound.id}:{len(self.sent)}",
            due_at=window.opens_at,
            expires_at=window.closes_at,
            fields={"values": answer.values, **wording},
        )
        enqueue(self.session, self.association.id, draft, now=self.now)
        self.sent.append(answer.kind)
        return True

    def _allowed(self, kind: str) -> bool:
        if KINDS[kind].beyond_limits:
            return True
        if self.silent:
            return False
        if self.phone is None:
            return self._count(None, since=self.now - UNKNOWN_ONCE_IN) == 0
        if kind in ONCE_A_DAY and self._count(kind, since=self.now - HELP_ONCE_IN) > 0:
            return False
        zone = zone_of(self.association.zone)
        midnight = at_local(local_day(self.now, zone), time(0), zone)
        return self._count(None, since=midnight) < ANSWERS_A_DAY

    def _count(self, kind: str | None, *, since: datetime) -> int:
        return answers_since(
            self.session,
            self.association.id,
            self.inbound.sender,
            since=since,
            kinds=None if kind is None else (kind,),
        )
