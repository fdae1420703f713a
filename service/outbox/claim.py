"""Take a batch of due texts: freeze what they say, put a lease on them, look once more."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from sqlalchemy import or_, select

from gateway_adapters.segments import split
from service.messages.kinds import KINDS
from service.messages.lifecycle import Event, State
from service.messages.printing import ValueRefusedError
from service.outbox.budget import budget_day, month_left, segments_left, spend
from service.outbox.overdue import lapse_leases
from service.outbox.retry import lease_ends, tokens_now
from service.outbox.steps import step
from service.records.engine import Session
from service.records.traffic import ClaimRow, MessageRow, RouteRow

SAFETY = frozenset(kind.name for kind in KINDS.values() if kind.beyond_limits)
Render = Callable[[MessageRow], str]
Reason = Callable[[MessageRow], str | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """A claimed text as it will leave: frozen."""

    message_id: int
    token: str
    number: str
    body: str
    valid_until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How many segments may still leave: by the route on this day, of all routes in this month."""

    of_day: int | None
    of_month: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A leased batch."""

    claim_id: int
    route_id: int
    expires_at: datetime
    messages: tuple[Claimed, ...]


def claim_due(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    association_id: int,
    route_id: int,
    *,
    now: datetime,
    limit: int,
    render: Render,
) -> Claim | None:
    """Return a leased batch of at most `limit` due texts, or None when nothing may leave.

    Takes no more than the route's token bucket holds, so a crash leaves at most one second's
    worth of texts in doubt.
    """
    route = session.scalars(
        select(RouteRow)
        .where(RouteRow.id == route_id, RouteRow.association_id == association_id)
        .with_for_update()
    ).one()
    if route.stopped_at is not None or (route.paused_until or now) > now:
        return None
    day = budget_day(session, association_id, now=now)
    held = tokens_now(route.tokens, route.tokens_at, now, route.rate_per_s)
    most = min(limit, int(held))
    room = Room(
        of_day=segments_left(session, route, day), of_month=month_left(session, association_id, day)
    )
    claimed, segments = _freeze_all(
        session, _due(session, route, now, most), now=now, render=render, room=room
    )
    if not claimed and room.of_month is not None:
        # texts that the month has no room for must not stand before those that go all the same
        claimed, segments = _freeze_all(
            session,
            _due(session, route, now, most, whatever=True),
            now=now,
            render=render,
            room=room,
        )
    if not claimed:
        return None
    spend(session, association_id, route_id, segments, day)
    route.tokens, route.tokens_at = held - len(claimed), now
    route.paused_until = route.paused_for = None
    claim = ClaimRow(
        association_id=association_id,
        route_id=route_id,
        expires_at=lease_ends(now),
        messages={"ids": [item.message_id for item in claimed]},
    )
    session.add(claim)
    session.flush()
    return Claim(
        claim_id=claim.id, route_id=route_id, expires_at=claim.expires_at, messages=claimed
    )


def _due(
    session: Session, route: RouteRow, now: datetime, most: int, *, whatever: bool = False
) -> Sequence[MessageRow]:
    query = select(MessageRow).where(
        MessageRow.route_id == route.id,
        MessageRow.association_id == route.association_id,
        MessageRow.state == State.QUEUED,
        MessageRow.due_at <= now,
        MessageRow.expires_at > now,
    )
    if whatever:
        query = query.where(or_(MessageRow.evening.is_(None), MessageRow.kind.in_(SAFETY)))
    ordered = query.order_by(MessageRow.due_at, MessageRow.id).limit(most)
    return session.scalars(ordered.with_for_update(skip_locked=True)).all()


def _freeze_all(
    session: Session, rows: Sequence[MessageRow], *, now: datetime, render: Render, room: Room
) -> tuple[tuple[Claimed, ...], int]:
    """Return the texts that the day and the month still have room for, and their segments."""
    claimed: list[Claimed] = []
    used = 0
    for row in rows:
        body = row.body or _written(row, render)
        if body is None:
            # one text that cannot be written must not hold up the others
            step(session, row, Event.CLAIM, now=now)
            step(session, row, Event.REJECT, now=now, detail="the text cannot be written")
            continue
        segments = len(split(body).parts)
        if room.of_day is not None and used + segments > room.of_day:
            break
        if room.of_month is not None and used + segments > room.of_month and not _goes_always(row):
            continue
        used += segments
        row.body, row.segments = body, segments
        claimed.append(_freeze(session, row, body, now=now))
    return tuple(claimed), used


def _goes_always(row: MessageRow) -> bool:
    """Say whether a text goes though the month is spent: an answer, or one for safety."""
    return row.evening is None or row.kind in SAFETY


def _written(row: MessageRow, render: Render) -> str | None:
    try:
        return render(row)
    except ValueRefusedError:
        return None


def _freeze(session: Session, row: MessageRow, body: str, *, now: datetime) -> Claimed:
    step(session, row, Event.CLAIM, now=now)
    key = f"{row.association_id}:{row.id}:{row.dedupe_key}:{row.tries}"
    row.token = sha256(key.encode()).hexdigest()[:24]
    return Claimed(
        message_id=row.id,
        token=row.token,
        number=row.number,
        body=body,
        valid_until=row.expires_at,
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
        return Claim(
            claim_id=claim.claim_id,
            route_id=claim.route_id,
            expires_at=claim.expires_at,
            messages=(),
        )
    wanted = []
    for item in claim.messages:
        row = session.get_one(MessageRow, item.message_id, with_for_update=True)
        if row.association_id != association_id or row.state is not State.CLAIMED:
            continue
        why = reason(row)
        if why is None:
            wanted.append(item)
        else:
            step(session, row, Event.CANCEL, now=now, detail=why)
    session.flush()
    return Claim(
        claim_id=claim.claim_id,
        route_id=claim.route_id,
        expires_at=claim.expires_at,
        messages=tuple(wanted),
    )
