"""The loop breaker: a phone that texts like a machine gets no answers for a day.

More than 5 texts in 10 minutes, or 3 equal ones in an hour. What it reports is still recorded.
"""

from datetime import datetime

from service.planning.send_window import LOOP_WINDOW, MUTED_FOR, SAME_WINDOW
from service.records.engine import Session
from service.records.inbox import texts_since
from service.records.phones import PhoneBundle
from service.records.tasks import Task, open_task
from service.records.traffic import InboundRow, TaskKind

TEXTS_IN_WINDOW = 5
EQUAL_IN_WINDOW = 3


def is_muted(phone: PhoneBundle, *, now: datetime) -> bool:
    """Say whether a phone gets no answers now."""
    return phone.phone.muted_until is not None and phone.phone.muted_until > now


def mute_if_looping(
    session: Session, association_id: int, phone: PhoneBundle, kept: InboundRow, *, now: datetime
) -> None:
    """Mute a phone whose texts, the one just kept included, come too fast."""
    if is_muted(phone, now=now):
        return
    fast = texts_since(session, association_id, kept.sender, since=now - LOOP_WINDOW)
    same = texts_since(
        session, association_id, kept.sender, since=now - SAME_WINDOW, text=kept.text
    )
    if fast <= TEXTS_IN_WINDOW and same < EQUAL_IN_WINDOW:
        return
    phone.phone.muted_until = now + MUTED_FOR
    open_task(
        session,
        association_id,
        Task(kind=TaskKind.LOOP, key=f"{kept.id}", phone_id=phone.phone.id),
        now=now,
    )
