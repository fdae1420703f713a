"""The texts that went to some phones and came from them, and what those that came brought."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Select, func, literal, select, union_all

from service.messages.lifecycle import Event
from service.records.engine import Session
from service.records.fields import (
    OWN_WORD,
    ContainerEventRow,
    ContainerRow,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
)
from service.records.people import ConsentEventRow, HouseholdPhoneRow
from service.records.traffic import InboundRow, MessageEventRow, MessageRow

_SENT, _CAME = "sent", "came"


@dataclass(frozen=True, slots=True, kw_only=True)
class SentText:
    """A text to a phone; `left_at` is when the gateway took it, None where it has not."""

    at: datetime  # when it was due
    row: MessageRow
    left_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CameText:
    """A text from a phone."""

    at: datetime
    row: InboundRow


@dataclass(frozen=True, slots=True, kw_only=True)
class TextNote:
    """What a text brought into the records; a letter or a can's number says about what."""

    recorded_at: datetime
    row: PlantingFactRow | HoldRow | ContainerEventRow | ConsentEventRow
    letter: str | None = None
    can: int | None = None


def count_talk(session: Session, association_id: int, phones: Collection[int]) -> int:
    """Return how many texts went to these phones or came from them."""
    sent = select(func.count()).where(
        MessageRow.association_id == association_id, MessageRow.phone_id.in_(phones)
    )
    came = select(func.count()).where(
        InboundRow.association_id == association_id, InboundRow.phone_id.in_(phones)
    )
    return session.execute(sent).scalar_one() + session.execute(came).scalar_one()


def talk_of_phones(
    session: Session, association_id: int, phones: Collection[int], *, first: int, most: int
) -> list[SentText | CameText]:
    """Return the texts to and from phones, newest first, `most` from the one numbered `first` on.

    An answer stands above the text that it answers.
    """
    sent = select(
        literal(_SENT).label("way"), MessageRow.id.label("id"), MessageRow.due_at.label("at")
    ).where(MessageRow.association_id == association_id, MessageRow.phone_id.in_(phones))
    came = select(literal(_CAME), InboundRow.id, InboundRow.received_at).where(
        InboundRow.association_id == association_id, InboundRow.phone_id.in_(phones)
    )
    both = union_all(sent, came).subquery()
    found = session.execute(
        select(both.c.way, both.c.id)
        .order_by(both.c.at.desc(), both.c.way.desc(), both.c.id.desc())
        .offset(first)
        .limit(most)
    ).all()
    texts = _sent_texts(session, [row_id for way, row_id in found if way == _SENT])
    answers = {
        row.id: CameText(at=row.received_at, row=row)
        for row in session.scalars(
            select(InboundRow).where(
                InboundRow.id.in_([row_id for way, row_id in found if way == _CAME])
            )
        )
    }
    return [texts[row_id] if way == _SENT else answers[row_id] for way, row_id in found]


def _sent_texts(session: Session, ids: Sequence[int]) -> dict[int, SentText]:
    taken = session.execute(
        select(MessageEventRow.message_id, func.min(MessageEventRow.at))
        .where(
            MessageEventRow.message_id.in_(ids),
            MessageEventRow.event == Event.ACCEPT.value,
        )
        .group_by(MessageEventRow.message_id)
    )
    left_at = dict(taken.all())
    return {
        row.id: SentText(at=row.due_at, row=row, left_at=left_at.get(row.id))
        for row in session.scalars(select(MessageRow).where(MessageRow.id.in_(ids)))
    }


def notes_of_texts(
    session: Session,
    association_id: int,
    phones: Collection[int],
    *,
    texts: Sequence[InboundRow],
) -> list[TextNote]:
    """Return what these texts from phones brought into the records, in the order it came.

    A fact carries the instant at which its text came, or was read by a person.
    """
    at = {text.received_at for text in texts} | {text.read_at for text in texts if text.read_at}
    homes = select(HouseholdPhoneRow.household_id).where(
        HouseholdPhoneRow.association_id == association_id, HouseholdPhoneRow.phone_id.in_(phones)
    )
    notes = [
        *_fact_notes(session, association_id, homes, at),
        *_hold_notes(session, association_id, homes, at),
        *_can_notes(session, association_id, homes, at),
        *(
            TextNote(recorded_at=event.recorded_at, row=event)
            for event in session.scalars(
                select(ConsentEventRow).where(
                    ConsentEventRow.association_id == association_id,
                    ConsentEventRow.key.in_([f"text:{text.id}" for text in texts]),
                )
            )
        ),
    ]
    return sorted(notes, key=lambda note: note.recorded_at)


def _fact_notes(
    session: Session, association_id: int, homes: Select[int], at: Collection[datetime]
) -> list[TextNote]:
    rows = session.execute(
        select(PlantingFactRow, PlotRow.letter)
        .join(PlantingRow, PlantingRow.id == PlantingFactRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .where(
            PlantingFactRow.association_id == association_id,
            PlantingFactRow.source.in_(OWN_WORD),
            PlantingFactRow.recorded_at.in_(at),
            PlotRow.household_id.in_(homes),
        )
        .order_by(PlantingFactRow.id)
    )
    return [TextNote(recorded_at=row.recorded_at, row=row, letter=letter) for row, letter in rows]


def _hold_notes(
    session: Session, association_id: int, homes: Select[int], at: Collection[datetime]
) -> list[TextNote]:
    rows = session.execute(
        select(HoldRow, PlotRow.letter)
        .join(PlantingRow, PlantingRow.id == HoldRow.planting_id)
        .join(PlotRow, PlotRow.id == PlantingRow.plot_id)
        .where(
            HoldRow.association_id == association_id,
            HoldRow.source.in_(OWN_WORD),
            HoldRow.recorded_at.in_(at),
            PlotRow.household_id.in_(homes),
        )
        .order_by(HoldRow.id)
    )
    return [TextNote(recorded_at=row.recorded_at, row=row, letter=letter) for row, letter in rows]


def _can_notes(
    session: Session, association_id: int, homes: Select[int], at: Collection[datetime]
) -> list[TextNote]:
    rows = session.execute(
        select(ContainerEventRow, ContainerRow.number)
        .join(ContainerRow, ContainerRow.id == ContainerEventRow.container_id)
        .where(
            ContainerEventRow.association_id == association_id,
            ContainerEventRow.source.in_(OWN_WORD),
            ContainerEventRow.recorded_at.in_(at),
            ContainerRow.household_id.in_(homes),
        )
        .order_by(ContainerEventRow.id)
    )
    return [TextNote(recorded_at=row.recorded_at, row=row, can=number) for row, number in rows]
