"""On which evening a dose was first told of, for each day that it was told for."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from sqlalchemy import func, select

from service.messages.lifecycle import STILL_HERE, State
from service.records.engine import Session
from service.records.traffic import MessageDoseRow, MessageRow


def evenings_told(session: Session, association_id: int) -> Mapping[int, Mapping[date, date]]:
    """Return, by dose and by the day it was told for, the evening of the first text that left."""
    rows = session.execute(
        select(MessageDoseRow.dose_id, MessageDoseRow.due_on, func.min(MessageRow.evening))
        .join(MessageRow, MessageRow.id == MessageDoseRow.message_id)
        .where(
            MessageDoseRow.association_id == association_id,
            MessageRow.evening.is_not(None),
            MessageRow.token.is_not(None),
            MessageRow.state.not_in((*STILL_HERE, State.FAILED, State.EXPIRED)),
        )
        .group_by(MessageDoseRow.dose_id, MessageDoseRow.due_on)
    )
    found: dict[int, dict[date, date]] = defaultdict(dict)
    for dose_id, due_on, evening in rows:
        if evening is not None:
            found[dose_id][due_on] = evening
    return found
