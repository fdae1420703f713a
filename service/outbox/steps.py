"""The only place that writes a message's state, each time with its event row."""

from datetime import datetime

from sqlalchemy import select, update

from service.messages.lifecycle import Event, State, next_state
from service.outbox.budget import give_back
from service.records.engine import Session
from service.records.fields import DoseRow
from service.records.traffic import MessageDoseRow, MessageEventRow, MessageRow

_LEFT = (Event.ACCEPT, Event.LOSE)
_NOT_LEFT = (Event.REQUEUE, Event.REJECT, Event.CANCEL)


def step(
    session: Session, message: MessageRow, event: Event, *, now: datetime, detail: str = ""
) -> State:
    """Move a message by an event and write that down; return its new state.

    A text that left, or may have left, fixes the litres of the doses it tells of.

    Raises:
        IllegalTransitionError: the state has no such event.
    """
    if message.state is State.CLAIMED and event in _NOT_LEFT and message.segments:
        give_back(session, message, now=now)
    message.state = next_state(message.state, event)
    message.changed_at = now
    session.add(
        MessageEventRow(
            association_id=message.association_id,
            message_id=message.id,
            at=now,
            event=event.value,
            state=message.state,
            detail=detail[:80],
        )
    )
    if event in _LEFT:
        session.execute(
            update(DoseRow)
            .where(
                DoseRow.association_id == message.association_id,
                DoseRow.id.in_(
                    select(MessageDoseRow.dose_id).where(MessageDoseRow.message_id == message.id)
                ),
            )
            .values(told=True)
        )
    return message.state
