"""A text comes in: kept once, read, acted on, answered within limits."""

from datetime import datetime

from gateway_adapters.events import Inbound
from service.inbound.acts import Act, act
from service.inbound.consent_acts import unknown_number
from service.inbound.keeping import Came, Route, inbound_values, note_reading
from service.inbound.limits import is_muted, mute_if_looping
from service.inbound.replies import Replies
from service.inbound.reply_codes import Meaning, Reading, read_reply
from service.inbound.situation import situation_of, unknown_situation
from service.messages.phone import is_person
from service.planning.drafts import language_of
from service.planning.send_window import TWICE_WINDOW
from service.records.engine import Session
from service.records.inbox import inbound as inbound_row
from service.records.inbox import keep_inbound, same_meaning_since
from service.records.phones import phone_by_number
from service.records.plantings import association
from service.records.traffic import InboundRow


def handle_text(session: Session, route: Route, event: Inbound, *, now: datetime) -> None:
    """Act on a text once; the same event again changes nothing."""
    row = association(session, route.association_id)
    phone = phone_by_number(session, row.id, event.sender)
    came = Came(event_id=event.event_id, sender=event.sender, text=event.text)
    kept_id = keep_inbound(session, inbound_values(route, phone, came, now=now))
    if kept_id is None:
        return
    kept = inbound_row(session, row.id, kept_id)
    replies = Replies(session=session, association=row, phone=phone, inbound=kept, now=now)
    machine = None if is_person(event.sender) else event.sender
    if phone is None:
        situation = unknown_situation(row, sender=machine, now=now)
        reading = read_reply(event.text, situation.context)
        note_reading(kept, reading)
        unknown_number(replies, reading)
        return
    situation = situation_of(session, row, phone, language=language_of(phone), now=now)
    reading = read_reply(event.text, situation.context)
    note_reading(kept, reading)
    if reading.meaning is not Meaning.STOP:
        mute_if_looping(session, row.id, phone, kept, now=now)
        replies.silent = is_muted(phone, now=now)
        if _told_before(session, kept, reading, now=now):
            return
    act(Act(replies=replies, phone=phone, situation=situation, reading=reading))


def _told_before(session: Session, kept: InboundRow, reading: Reading, *, now: datetime) -> bool:
    # the same text sent twice by a slow phone is one report; a text to read is kept each time
    if reading.meaning is Meaning.NEEDS_READING or kept.phone_id is None:
        return False
    return same_meaning_since(
        session,
        kept.association_id,
        kept.phone_id,
        meaning=kept.meaning,
        hint=kept.hint,
        since=now - TWICE_WINDOW,
        before_id=kept.id,
    )
