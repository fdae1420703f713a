"""Take a batch of due texts: freeze what they say, put a lease on them, look once more."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from sqlalchemy import delete, select

from gateway_adapters.segments import split
from service.messages.lifecycle import Event, State
from service.messages.printing import ValueRefusedError
from service.outbox.retry import lease_ends, tokens_now
from service.outbox.steps import step
from service.records.engine import Session
from service.records.traffic import ClaimRow, MessageRow, RouteRow

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
class Claim:
    """A leased batch."""

    claim_id: int
    route_id: int
    expires_at: datetime
    messages: tuple[Claimed, ...]


def expire_overdue(session: Session, association_id: int, *, now: datetime) -> int:
    """Expire queued texts whose time has passed unsent; return how many."""
    rows = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.association_id == association_id,
            MessageRow.state == State.QUEUED,
            MessageRow.expires_at <= now,
        )
        .order_by(MessageRow.id)
        .with_for_update(skip_locked=True)
    ).all()
    for row in rows:
        step(session, row, Event.EXPIRE, now=now, detail="not sent in its time")
    return len(rows)


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
    if route.paused_until is not None and route.paused_until > now:
        return None
    held = tokens_now(route.tokens, route.tokens_at, now, route.rate_per_s)
    rows = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.route_id == route_id,
            MessageRow.association_id == association_id,
            MessageRow.state == State.QUEUED,
            MessageRow.due_at <= now,
            MessageRow.expires_at > now,
        )
        .order_by(MessageRow.due_at, MessageRow.id)
        .limit(min(limit, int(held)))
        .with_for_update(skip_locked=True)
    ).all()
    if not rows:
        return None
    frozen = (_freeze(session, row, now=now, render=render) for row in rows)
    claimed = tuple(item for item in frozen if item is not None)
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


def _freeze(session: Session, row: MessageRow, *, now: datetime, render: Render) -> Claimed | None:
    step(session, row, Event.CLAIM, now=now)
    if row.body is None:
        try:
            row.body = render(row)
        except ValueRefusedError:
            # one text that cannot be written must not hold up the others
            step(session, row, Event.REJECT, now=now, detail="the text cannot be written")
            return None
        row.segments = len(split(row.body).parts)
    key = f"{row.association_id}:{row.id}:{row.dedupe_key}:{row.tries}"
    row.token = sha256(key.encode()).hexdigest()[:24]
    return Claimed(
        message_id=row.id,
        token=row.token,
        number=row.number,
        body=row.body,
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


def lapse_leases(session: Session, association_id: int, *, now: datetime) -> int:
    """Make unknown what a lease that ran out still holds; return how many texts that is."""
    claims = session.scalars(
        select(ClaimRow)
        .where(ClaimRow.association_id == association_id, ClaimRow.expires_at <= now)
        .with_for_update(skip_locked=True)
    ).all()
    lost = 0
    for claim in claims:
        rows = session.scalars(
            select(MessageRow).where(
                MessageRow.id.in_(claim.messages["ids"]), MessageRow.state == State.CLAIMED
            )
        ).all()
        for row in rows:
            step(session, row, Event.LOSE, now=now, detail="lease ran out")
        lost += len(rows)
        session.execute(delete(ClaimRow).where(ClaimRow.id == claim.id))
    return lost
