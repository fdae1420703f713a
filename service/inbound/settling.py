"""What a person decides about a text that had to be read, beside what it means.

A text that may be a refusal pauses its phone until a person chooses "go on" or "stop"; asking for
a call settles nothing yet.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from service.confirmations.outcomes import Desk
from service.confirmations.stopping import stop_phone
from service.inbound.waiting_texts import WaitingText
from service.records.engine import Session
from service.records.fields import Source
from service.records.inbox import mark_read, wish_to_join
from service.records.people import AssociationRow, AuditRow
from service.records.tasks import Task, audit, open_task
from service.records.traffic import TaskKind

ORIGIN = "reading list"


class Settling(StrEnum):
    """What may be decided; the value is kept with the text."""

    CALL = "call"
    NOTHING = "nothing"
    GO_ON = "go-on"
    STOP = "stop"
    ENROL = "enrol"
    NOT_FOR_US = "not-for-us"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Who reads, in which open transaction, and when."""

    session: Session
    association: AssociationRow
    who: str
    today: date
    now: datetime

    def desk(self, on: date) -> Desk:
        """Return where the text's news is taken, as on a day."""
        return Desk(
            session=self.session,
            association_id=self.association.id,
            source=Source.TEXT,
            today=on,
            now=self.now,
            noted_by=self.who,
        )


def settlings(text: WaitingText) -> tuple[Settling, ...]:
    """Return what may be decided about a text, in the order to be shown."""
    if text.phone is None:
        return Settling.ENROL, Settling.CALL, Settling.NOT_FOR_US
    if pauses(text):
        return Settling.GO_ON, Settling.STOP, Settling.CALL
    return Settling.CALL, Settling.NOTHING


def pauses(text: WaitingText) -> bool:
    """Say whether the phone's texts wait for this one; a phone that stopped gets none anyway."""
    return text.row.pauses and text.phone is not None and not text.phone.stopped()


def settle(reader: Reader, text: WaitingText, read_as: str) -> None:
    """Write down that a text was read, by whom and as what."""
    mark_read(
        reader.session,
        reader.association.id,
        text.row.id,
        who=reader.who,
        now=reader.now,
        read_as=read_as,
    )
    note(reader, text, read_as)


def note(reader: Reader, text: WaitingText, read_as: str) -> None:
    """Write what was decided into the record of who did what."""
    audit(
        reader.session,
        reader.association.id,
        AuditRow(
            at=reader.now,
            who=reader.who,
            what="text read",
            subject="inbound",
            subject_id=text.row.id,
            origin=ORIGIN,
            detail={"as": read_as},
        ),
    )


def ask_for_call(reader: Reader, text: WaitingText) -> None:
    """Put the sender on the call list; what may be a refusal goes on waiting."""
    homes = () if text.phone is None else text.phone.households
    _open(
        reader,
        Task(
            kind=TaskKind.UNREAD,
            key=f"text:{text.row.id}",
            phone_id=text.row.phone_id,
            household_id=homes[0].id if len(homes) == 1 else None,
            inbound_id=text.row.id,
        ),
    )
    if pauses(text):
        note(reader, text, Settling.CALL)
    else:
        settle(reader, text, Settling.CALL)


def ask_to_enrol(reader: Reader, text: WaitingText) -> int | None:
    """Open a task to enrol the sender's number, unless one is open, and return its id.

    None means that such a task for this very text was settled before.
    """
    settle(reader, text, Settling.ENROL)
    waiting = wish_to_join(reader.session, reader.association.id, text.row.sender)
    if waiting is not None:
        return waiting
    return _open(
        reader,
        Task(kind=TaskKind.ENROL, key=f"text:{text.row.id}", inbound_id=text.row.id),
    )


def stop_texts(reader: Reader, text: WaitingText) -> None:
    """End all texts to the sender's phone, if it is enrolled."""
    if text.phone is not None:
        stop_phone(reader.desk(reader.today), text.phone.phone.id)
    settle(reader, text, Settling.STOP)


def _open(reader: Reader, task: Task) -> int | None:
    return open_task(reader.session, reader.association.id, task, now=reader.now)
