"""Pieces of long texts that came in: kept, and joined once all are there or a day has passed."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select

from gateway_adapters.events import Inbound
from service.records.engine import Session
from service.records.once import insert_once
from service.records.wire import InboundPartRow

MOST_PARTS = 10  # 1,530 characters; a phone rarely sends more, and no longer text is kept
_SENDER, _PIECE = 32, 200


def join_part(
    session: Session, association_id: int, route_id: int, event: Inbound, *, now: datetime
) -> Inbound | None:
    """Keep a piece; return the whole text once all its pieces are there, else None.

    A piece that comes again changes nothing. One that cannot be right (number 3 of 2, or one of
    more than ten) is a text of its own, marked as damaged.
    """
    part = event.part
    if part is None:
        return event
    if not 1 <= part.number <= part.total <= MOST_PARTS:
        return _inbound(event.event_id, event, event.text, lossy=True)
    kept = insert_once(
        session,
        InboundPartRow,
        {
            "association_id": association_id,
            "route_id": route_id,
            "event_id": event.event_id,
            "sender": event.sender[:_SENDER],
            "to": event.to[:_SENDER],
            "reference": part.reference,
            "number": part.number,
            "total": part.total,
            "text": event.text[:_PIECE],
            "lossy": event.lossy,
            "received_at": now,
            "joined": False,
        },
    )
    if kept is None:
        return None
    pieces = _waiting(session, association_id, route_id, kept)
    if len({piece.number for piece in pieces}) < part.total:
        return None
    return _joined(pieces, lossy=False)


def overdue_parts(
    session: Session, association_id: int, route_id: int, *, since: datetime
) -> list[Inbound]:
    """Return, as far as they came, the texts with a piece that has waited since an instant."""
    rows = session.scalars(
        select(InboundPartRow)
        .where(
            InboundPartRow.association_id == association_id,
            InboundPartRow.route_id == route_id,
            InboundPartRow.joined.is_(False),
            InboundPartRow.received_at <= since,
        )
        .order_by(InboundPartRow.id)
    ).all()
    found: dict[tuple[str, str, int, int], list[InboundPartRow]] = defaultdict(list)
    for row in rows:
        found[row.sender, row.to, row.reference, row.total].append(row)
    return [_joined(pieces, lossy=True) for pieces in found.values()]


def _waiting(
    session: Session, association_id: int, route_id: int, kept_id: int
) -> Sequence[InboundPartRow]:
    newest = session.get_one(InboundPartRow, kept_id)
    return session.scalars(
        select(InboundPartRow)
        .where(
            InboundPartRow.association_id == association_id,
            InboundPartRow.route_id == route_id,
            InboundPartRow.sender == newest.sender,
            InboundPartRow.to == newest.to,
            InboundPartRow.reference == newest.reference,
            InboundPartRow.total == newest.total,
            InboundPartRow.joined.is_(False),
        )
        .order_by(InboundPartRow.id)
        .with_for_update()
    ).all()


def _joined(pieces: Sequence[InboundPartRow], *, lossy: bool) -> Inbound:
    by_number: dict[int, InboundPartRow] = {}
    for piece in pieces:  # of two with one number the first stands
        by_number.setdefault(piece.number, piece)
        piece.joined = True
    text = "".join(by_number[number].text for number in sorted(by_number))
    first = pieces[0]
    return Inbound(
        event_id=f"whole:{first.event_id}"[:120],
        sender=first.sender,
        to=first.to,
        text=text,
        received_at=first.received_at,
        lossy=lossy or any(piece.lossy for piece in pieces),
    )


def _inbound(event_id: str, event: Inbound, text: str, *, lossy: bool) -> Inbound:
    return Inbound(
        event_id=event_id,
        sender=event.sender,
        to=event.to,
        text=text,
        received_at=event.received_at,
        lossy=lossy,
    )
