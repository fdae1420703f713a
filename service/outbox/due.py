"""What is due on a route, in the order in which it goes."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import Integer, Select, bindparam, or_, select, tuple_

from service.messages.kinds import KINDS
from service.messages.lifecycle import State
from service.outbox.low_water import Place
from service.records.base import UtcDateTime
from service.records.engine import Session
from service.records.traffic import MessageRow

SAFETY = frozenset(kind.name for kind in KINDS.values() if kind.beyond_limits)


class Due(NamedTuple):
    """A due text as the queue holds it; `body` is there already if it was claimed before."""

    id: int
    association_id: int
    phone_id: int | None
    number: str
    kind: str
    evening: date | None
    due_at: datetime
    expires_at: datetime
    dedupe_key: str
    language: str
    fields: Mapping[str, Any]
    body: str | None
    tries: int

    @property
    def goes_always(self) -> bool:
        """Whether it goes though the month is spent: an answer, or a text for safety."""
        return self.evening is None or self.kind in SAFETY


def due_texts(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    route_id: int,
    *,
    now: datetime,
    most: int,
    since: Place,
    whatever: bool = False,
) -> Sequence[Due]:
    """Return at most so many texts that are due, from a place on; no other claim gets them.

    With `whatever`, only those that go though the month is spent.
    """
    values = {
        "association_id": association_id,
        "route_id": route_id,
        "now": now,
        "most": most,
        "since_at": since.due_at,
        "since_id": since.message_id,
    }
    rows = session.connection().execute(_WHATEVER if whatever else _DUE, values)
    return [Due._make(row) for row in rows]


def _query() -> Select[Any]:
    since = tuple_(
        bindparam("since_at", type_=UtcDateTime()), bindparam("since_id", type_=Integer())
    )
    now = bindparam("now", type_=UtcDateTime())
    return (
        select(*(getattr(MessageRow, name) for name in Due._fields))
        .where(
            MessageRow.route_id == bindparam("route_id"),
            MessageRow.association_id == bindparam("association_id"),
            MessageRow.state == State.QUEUED,
            MessageRow.due_at <= now,
            MessageRow.expires_at > now,
            tuple_(MessageRow.due_at, MessageRow.id) >= since,
        )
        .order_by(MessageRow.due_at, MessageRow.id)
        .limit(bindparam("most", type_=Integer()))
        .with_for_update(skip_locked=True)
    )


_DUE = _query()  # built once: building takes longer than asking
_WHATEVER = _DUE.where(or_(MessageRow.evening.is_(None), MessageRow.kind.in_(SAFETY)))
