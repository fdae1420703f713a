"""Which service-started texts have left for a phone on an evening."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from sqlalchemy import Date, bindparam, select

from service.messages.kinds import KINDS
from service.messages.lifecycle import STILL_HERE
from service.records.engine import Session
from service.records.many_ids import Question, of_tenant
from service.records.traffic import MessageRow

BEYOND_LIMITS = frozenset(kind.name for kind in KINDS.values() if kind.beyond_limits)
# asked for by token or state, PostgreSQL would walk through all that was sent
_OF_PHONES = Question(
    lambda one_of: select(
        MessageRow.phone_id,
        MessageRow.evening,
        MessageRow.id,
        MessageRow.kind,
        MessageRow.state,
        MessageRow.token,
    ).where(
        of_tenant(MessageRow.association_id),
        one_of(MessageRow.phone_id),
        MessageRow.evening >= bindparam("since", type_=Date()),
    )
)


def texts_left(
    session: Session, association_id: int, *, phones: Collection[int], since: date
) -> dict[tuple[int, date], set[int]]:
    """Return, by phone and evening, the ids of the texts that have left or are about to.

    Those that are beyond the day's limits do not count.
    """
    found: dict[tuple[int, date], set[int]] = defaultdict(set)
    values = {"association_id": association_id, "since": since}
    for phone_id, evening, message_id, kind, state, token in _OF_PHONES.ask(
        session, phones, values
    ):
        if token is not None and state not in STILL_HERE and kind not in BEYOND_LIMITS:
            found[phone_id, evening].add(message_id)
    return found
