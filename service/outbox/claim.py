"""Take a batch of due texts: freeze what they say, put a lease on them, look once more."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256

from sqlalchemy import select

from gateway_adapters.contract import Segments
from gateway_adapters.segments import split
from service.messages.lifecycle import Event, State
from service.messages.printing import ValueRefusedError
from service.outbox.batch_writes import Frozen, Lease, freeze_batch
from service.outbox.budget import Room, room_of
from service.outbox.due import Due, due_texts
from service.outbox.low_water import START, Place
from service.outbox.overdue import lapse_leases
from service.outbox.retry import lease_ends
from service.outbox.route_turn import route_turn
from service.outbox.steps import step
from service.records.engine import Session
from service.records.many_ids import Question, of_tenant
from service.records.traffic import MessageRow

Render = Callable[[Due], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """A claimed text as it will leave: frozen. `phone_id` and `evening` are those of its row."""

    message_id: int
    token: str
    number: str
    body: str
    segments: Segments
    valid_until: datetime
    phone_id: int | None
    kind: str
    evening: date | None
    due_at: datetime


Reason = Callable[[Claimed], str | None]
_CLAIMED = Question(
    lambda one_of: select(MessageRow.id).where(
        of_tenant(MessageRow.association_id),
        MessageRow.state == State.CLAIMED,
        one_of(MessageRow.id),
    )
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A leased batch; `first` is the place of its first text in the queue."""

    claim_id: int
    route_id: int
    expires_at: datetime
    messages: tuple[Claimed, ...]
    first: Place


def claim_due(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    route_id: int,
    *,
    now: datetime,
    limit: int,
    render: Render,
    since: Place = START,
) -> Claim | None:
    """Return a leased batch of at most `limit` due texts, or None when nothing may leave.

    Takes no more than the route's token bucket holds, so a crash leaves at most one second's
    worth of texts in doubt. Texts whose place is before `since` are not looked at.
    """
    route = route_turn(session, association_id, route_id)
    if route.rests(now):
        return None
    day, held = route.day(now), route.texts_held(now)
    room = room_of(session, association_id, route_id, route, day)
    most, claimed = min(limit, int(held)), list[Claimed]()
    # texts that the month has no room for must not stand before those that go all the same
    for whatever in (False, True) if room.of_month is not None else (False,):
        found = due_texts(
            session, association_id, route_id, now=now, most=most, since=since, whatever=whatever
        )
        claimed = _frozen(session, found, now=now, render=render, room=room)
        if claimed:
            break
    if not claimed:
        return None
    lease = Lease(
        association_id=association_id,
        route_id=route_id,
        expires_at=lease_ends(now),
        day=day,
        tokens_left=held - len(claimed),
    )
    frozen = [
        Frozen(
            id=item.message_id,
            token=item.token,
            body=item.body,
            segments=len(item.segments.parts),
        )
        for item in claimed
    ]
    claim_id = freeze_batch(session, lease, frozen, now=now)
    session.expire_all()  # an object that was read before knows nothing of all this
    return Claim(
        claim_id=claim_id,
        route_id=route_id,
        expires_at=lease.expires_at,
        messages=tuple(claimed),
        first=Place(due_at=claimed[0].due_at, message_id=claimed[0].message_id),
    )


def _frozen(
    session: Session, found: Sequence[Due], *, now: datetime, render: Render, room: Room
) -> list[Claimed]:
    """Return the texts that the day and the month still have room for, as they will leave."""
    claimed: list[Claimed] = []
    used, at = 0, now.isoformat()
    for due in found:
        body = due.body or _written(due, render)
        if body is None:
            _refuse(session, due, now=now)
            continue
        parts = split(body)
        segments = len(parts.parts)
        if room.of_day is not None and used + segments > room.of_day:
            break
        if room.of_month is not None and used + segments > room.of_month and not due.goes_always:
            continue
        used += segments
        claimed.append(_as_it_leaves(due, body, parts, at=at))
    return claimed


def _written(due: Due, render: Render) -> str | None:
    try:
        return render(due)
    except ValueRefusedError:
        return None


def _refuse(session: Session, due: Due, *, now: datetime) -> None:
    """Let one text that cannot be written fail, so that it does not hold up the others."""
    row = session.get_one(MessageRow, due.id)
    step(session, row, Event.CLAIM, now=now)
    step(session, row, Event.REJECT, now=now, detail="the text cannot be written")
    session.flush()


def _as_it_leaves(due: Due, body: str, segments: Segments, *, at: str) -> Claimed:
    # another claim has another token, so that what came of the one says nothing of the other
    key = f"{due.association_id}:{due.id}:{due.dedupe_key}:{due.tries}:{at}"
    return Claimed(
        message_id=due.id,
        token=sha256(key.encode()).hexdigest()[:24],
        number=due.number,
        body=body,
        segments=segments,
        valid_until=due.expires_at,
        phone_id=due.phone_id,
        kind=due.kind,
        evening=due.evening,
        due_at=due.due_at,
    )


def drop_unwanted(
    session: Session, association_id: int, claim: Claim, *, now: datetime, reason: Reason
) -> Claim:
    """Return the claim without the texts that new facts have made wrong since it was made.

    The last look before the send. `reason` says in a few words why a text may no longer go.
    A lease that has run out leaves nothing to send, and its texts unknown.
    """
    if now >= claim.expires_at:
        lapse_leases(session, association_id, now=now)
        return replace(claim, messages=())
    ids = [item.message_id for item in claim.messages]
    held = {row.id for row in _CLAIMED.ask(session, ids, {"association_id": association_id})}
    wanted = []
    for item in claim.messages:
        if item.message_id not in held:
            continue
        why = reason(item)
        if why is None:
            wanted.append(item)
            continue
        row = session.get_one(MessageRow, item.message_id, with_for_update=True)
        if row.state is State.CLAIMED:
            step(session, row, Event.CANCEL, now=now, detail=why)
    session.flush()
    return replace(claim, messages=tuple(wanted))
