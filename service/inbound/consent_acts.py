"""YES, START, STOP and JOIN: only the phone itself starts and stops its texts."""

from hashlib import sha256

from service.inbound.answers import Answer
from service.inbound.replies import Replies
from service.inbound.reply_codes import Meaning, Reading
from service.inbound.situation import Situation
from service.outbox.enqueue import cancel_for_phone
from service.planning.send_window import local_day, zone_of
from service.records.consents import add_consent
from service.records.inbox import wish_to_join
from service.records.people import Consent
from service.records.phones import PhoneBundle
from service.records.tasks import Task, open_task
from service.records.traffic import TaskKind


def stop(replies: Replies, phone: PhoneBundle) -> None:
    """End all texts to a phone at once, confirm it once, and tell the coordinator."""
    if phone.stopped():
        return
    _add(replies, phone, Consent.STOPPED)
    cancel_for_phone(
        replies.session, replies.association.id, phone.phone.id, now=replies.now, why="stopped"
    )
    open_task(
        replies.session,
        replies.association.id,
        Task(kind=TaskKind.STOPPED, key=str(replies.inbound.id), phone_id=phone.phone.id),
        now=replies.now,
    )
    row = replies.association
    replies.send(Answer(kind="stop_ok", values={"group": row.name, "phone": row.phone}))


def start(replies: Replies, phone: PhoneBundle, situation: Situation) -> None:
    """Begin or go on with texts; without a spoken yes on record a person reads it first."""
    if not any(event.kind is Consent.VERBAL for event in phone.consents):
        replies.inbound.to_read = True
        replies.inbound.hint = "no spoken yes on record"
        replies.send(Answer(kind="unread", values={}))
        return
    if len(phone.consenting()) < len(phone.households) or phone.stopped():
        _add(replies, phone, Consent.GIVEN)
    plots = [
        {"plot": letter, "crop": bundle.planting.crop}
        for letter, bundle in sorted(situation.plantings.items())
    ]
    if plots:
        row = replies.association
        values: dict[str, object] = {"group": row.name, "plots": plots, "phone": row.phone}
        replies.send(Answer(kind="welcome", values=values))


def unknown_number(replies: Replies, reading: Reading) -> None:
    """Take a text from a number that nobody has enrolled; name nothing in any answer."""
    match reading.meaning:
        case Meaning.JOIN:
            _wish_to_join(replies)
        case Meaning.DROP | Meaning.IGNORE | Meaning.STOP:
            pass
        case _:
            replies.inbound.to_read = True


def _wish_to_join(replies: Replies) -> None:
    row, sender = replies.association, replies.inbound.sender
    waits = wish_to_join(replies.session, row.id, sender)
    answered = replies.send(Answer(kind="join_ok", values={"group": row.name, "phone": row.phone}))
    number = sha256(f"{row.id}:{sender}".encode()).hexdigest()[:24]
    # once that is settled, a wish told again counts as often as it is answered
    keys = [number, f"{number}:{replies.inbound.id}"] if answered else [number]
    for key in () if waits is not None else keys:
        task = Task(kind=TaskKind.ENROL, key=key, inbound_id=replies.inbound.id)
        if open_task(replies.session, row.id, task, now=replies.now) is not None:
            return


def _add(replies: Replies, phone: PhoneBundle, kind: Consent) -> None:
    add_consent(
        replies.session,
        replies.association.id,
        phone.phone.id,
        kind=kind,
        key=f"text:{replies.inbound.id}",
        on=local_day(replies.now, zone_of(replies.association.zone)),
        now=replies.now,
    )
