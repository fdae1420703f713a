"""A choice in the menu is taken as the text code that says the same, and answered likewise.

The answer also goes out as a text, under the limits of answers, for a last screen may never show.
"""

from datetime import datetime

from service.inbound.acts import Act, act
from service.inbound.consent_acts import unknown_number
from service.inbound.keeping import Came, Route, inbound_values, note_reading
from service.inbound.limits import is_muted
from service.inbound.replies import Replies
from service.inbound.reply_codes import Meaning
from service.messages.catalogue import Catalogue
from service.messages.render import render
from service.planning.drafts import language_of, reader_of, voice_fields
from service.records.engine import Session
from service.records.fields import Source
from service.records.inbox import inbound, keep_inbound
from service.ussd.facts import Report, line_of
from service.ussd.looking import Caller

_OF_A_STRANGER = {Meaning.HELP: "stranger.help", Meaning.STOP: "stranger.stopped"}


def take_report(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    caller: Caller,
    report: Report,
    *,
    route: Route,
    event_id: str,
    catalogue: Catalogue,
    now: datetime,
) -> list[str]:
    """Record what was chosen, once for the event, and return the answers to be shown."""
    shown = _told_a_stranger(caller, report)
    if shown and report.reading.meaning is Meaning.HELP:
        return shown  # it asks nothing of a person, so nothing is kept
    came = Came(
        event_id=event_id,
        sender=caller.number,
        text=caller.voice.words.printed(report.code),
        by_menu=True,
    )
    kept_id = keep_inbound(session, inbound_values(route, caller.phone, came, now=now))
    if kept_id is None:
        return []
    kept = inbound(session, route.association_id, kept_id)
    note_reading(kept, report.reading)
    replies = Replies(
        session=session, association=caller.association, phone=caller.phone, inbound=kept, now=now
    )
    if caller.phone is None:
        unknown_number(replies, report.reading)
        return shown or _answers(caller, replies, catalogue)
    replies.silent = is_muted(caller.phone, now=now)
    act(
        Act(
            replies=replies,
            phone=caller.phone,
            situation=caller.situation,
            reading=report.reading,
            source=Source.MENU,
        )
    )
    return _answers(caller, replies, catalogue)


def _told_a_stranger(caller: Caller, report: Report) -> list[str]:
    name = _OF_A_STRANGER.get(report.reading.meaning)
    if caller.phone is not None or name is None:
        return []
    fields: dict[str, object] = {"group": caller.association.name}
    if report.reading.meaning is Meaning.HELP:
        fields["phone"] = caller.association.phone
    return [caller.voice.words.printed(line_of(name, fields))]


def _answers(caller: Caller, replies: Replies, catalogue: Catalogue) -> list[str]:
    row, phone = caller.association, caller.phone
    language = row.language if phone is None else language_of(phone)
    texts: list[str] = []
    for answer, household_id in replies.said:
        fields = {} if phone is None else voice_fields(phone, household_id)
        reader = reader_of(language, row.language, fields=fields)
        texts.append(render(catalogue, answer.kind, answer.values, reader=reader).text)
    return texts
