"""The only place that writes a message's state, each time with its event row."""

from datetime import datetime

from service.messages.lifecycle import Event, State, next_state
from service.records.engine import Session
from service.records.traffic import MessageEventRow, MessageRow


def step(
    session: Session, message: MessageRow, event: Event, *, now: datetime, detail: str = ""
) -> State:
    """Move a message by an event and write that down; return its new state.

    Raises:
        IllegalTransitionError: the state has no such event.
    """
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
    return message.state
