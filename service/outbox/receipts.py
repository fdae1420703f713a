"""What came of a send: the gateway's answers, and the receipts that follow in any order."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import delete, or_, select, update

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from gateway_adapters.events import LateAnswer, Receipt
from service.messages.lifecycle import RECEIPT_EVENTS, TRANSITIONS, Event, State, after_receipt
from service.outbox.claim import Claim
from service.outbox.parts import know_parts, told_of_whole
from service.outbox.retry import MAX_TRIES, MOST_REFUSALS, ROUTE_REST, next_try_at, orphan_limit
from service.outbox.steps import step
from service.records.engine import Session
from service.records.once import insert_once
from service.records.traffic import ClaimRow, MessageRow, OrphanReceiptRow, RouteRow
from service.records.wire import MessagePartRow

_ANSWERABLE = (State.CLAIMED, State.UNKNOWN)


def settle(
    session: Session,
    association_id: int,
    claim: Claim,
    outcomes: Sequence[Outcome],
    *,
    now: datetime,
) -> None:
    """Write down one outcome a text of the claim, in its order, and end the lease.

    An answer that comes after the lease ran out still counts for the same token.
    """
    for item, outcome in zip(claim.messages, outcomes, strict=True):
        row = session.get_one(MessageRow, item.message_id, with_for_update=True)
        if row.token != item.token or row.state not in _ANSWERABLE:
            continue
        in_time = row.state is State.CLAIMED
        match outcome:
            case Accepted():
                step(session, row, Event.ACCEPT, now=now)
                _know(session, row, outcome.gateway_ids, all_taken=True, now=now)
            case Rejected():
                _reject(session, row, outcome, now=now)
            case Ambiguous():
                if row.state is State.CLAIMED:
                    step(session, row, Event.LOSE, now=now, detail="no clear answer")
                _know(session, row, outcome.gateway_ids, all_taken=False, now=now)
        if in_time:  # what a worker that overslept was told says nothing of the route
            _count_refusal(session, row.route_id, outcome, now=now)
    session.execute(
        delete(ClaimRow).where(
            ClaimRow.id == claim.claim_id, ClaimRow.association_id == association_id
        )
    )


def _know(
    session: Session,
    row: MessageRow,
    gateway_ids: Sequence[str],
    *,
    all_taken: bool,
    now: datetime,
) -> None:
    if not gateway_ids:
        return
    row.gateway_id = gateway_ids[-1]
    know_parts(session, row, gateway_ids, all_taken=all_taken)
    early = session.scalars(
        select(OrphanReceiptRow)
        .where(
            OrphanReceiptRow.route_id == row.route_id,
            OrphanReceiptRow.association_id == row.association_id,
            OrphanReceiptRow.gateway_id.in_(gateway_ids),
        )
        .order_by(OrphanReceiptRow.id)
    ).all()
    for orphan in early:
        _hear(session, row, orphan.gateway_id, State(orphan.state), now=now)
        session.delete(orphan)


def _reject(session: Session, row: MessageRow, outcome: Rejected, *, now: datetime) -> None:
    if row.state is State.UNKNOWN:
        return  # a person may already have acted on the doubt; only a clear yes lifts it
    of_route = outcome.scope is Scope.ROUTE
    match outcome.kind:
        case RejectKind.THROTTLED:
            _pause(session, row.route_id, outcome, now=now)
        case RejectKind.TRANSIENT:
            if of_route:
                _pause(session, row.route_id, outcome, now=now)
            else:
                row.tries += 1
        case RejectKind.PERMANENT:
            if of_route:
                _pause(session, row.route_id, outcome, now=now)
            else:
                step(session, row, Event.REJECT, now=now, detail=outcome.code)
                return
    if row.tries >= MAX_TRIES:
        step(session, row, Event.REJECT, now=now, detail="refused too often")
        return
    step(session, row, Event.REQUEUE, now=now, detail=outcome.code)
    row.token = None
    if not of_route:
        row.due_at = next_try_at(row.tries, now, asked_s=outcome.retry_after_s)


def _count_refusal(session: Session, route_id: int, outcome: Outcome, *, now: datetime) -> None:
    """Rest a route that refuses one text after another; being asked to go slower is no refusal."""
    if isinstance(outcome, Accepted):
        session.execute(
            update(RouteRow)
            .where(RouteRow.id == route_id, RouteRow.refusals > 0)
            .values(refusals=0)
        )
        return
    if not isinstance(outcome, Rejected) or outcome.kind is RejectKind.THROTTLED:
        return
    route = session.get_one(RouteRow, route_id)
    session.refresh(route)
    route.refusals += 1
    if route.refusals >= MOST_REFUSALS:
        route.refusals, route.paused_for = 0, "refused too often"
        route.paused_until = now + ROUTE_REST
    session.flush()


def _pause(session: Session, route_id: int, outcome: Rejected, *, now: datetime) -> None:
    until = next_try_at(1, now, asked_s=outcome.retry_after_s)
    session.execute(
        update(RouteRow)
        # of several refusals in a batch the longest rest stands
        .where(
            RouteRow.id == route_id,
            or_(RouteRow.paused_until.is_(None), RouteRow.paused_until < until),
        )
        .values(paused_until=until, paused_for=(outcome.code or outcome.kind.value)[:80])
    )


def _hear(
    session: Session, row: MessageRow, gateway_id: str, told: State, *, now: datetime
) -> None:
    _raise_state(session, row, told_of_whole(session, row, gateway_id, told), now=now)


def _raise_state(session: Session, row: MessageRow, told: State, *, now: datetime) -> None:
    if after_receipt(row.state, told) is not row.state:
        step(session, row, RECEIPT_EVENTS[told], now=now)


def record_receipt(
    session: Session, association_id: int, route_id: int, receipt: Receipt, *, now: datetime
) -> None:
    """Let a receipt raise its text's state; keep one for an id not known yet.

    Twice, early, late and out of order all end the same.
    """
    of_part = select(MessagePartRow.message_id).where(
        MessagePartRow.route_id == route_id, MessagePartRow.gateway_id == receipt.gateway_id
    )
    row = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.route_id == route_id,
            MessageRow.association_id == association_id,
            or_(MessageRow.gateway_id == receipt.gateway_id, MessageRow.id.in_(of_part)),
            MessageRow.number == receipt.to,
        )
        .order_by(MessageRow.id.desc())
        .limit(1)
        .with_for_update()
    ).one_or_none()
    if row is not None:
        _hear(session, row, receipt.gateway_id, State(receipt.state.value), now=now)
        return
    insert_once(
        session,
        OrphanReceiptRow,
        {
            "association_id": association_id,
            "route_id": route_id,
            "event_id": receipt.event_id,
            "gateway_id": receipt.gateway_id,
            "state": receipt.state.value,
            "at": now,
            "filed": False,
        },
    )


def attach_answer(
    session: Session, association_id: int, route_id: int, answer: LateAnswer, *, now: datetime
) -> None:
    """Let an answer that came after its text was given up say that the text was taken.

    One for a text not known, or sent anew under another token since, changes nothing.
    """
    row = session.scalars(
        select(MessageRow)
        .where(
            MessageRow.association_id == association_id,
            MessageRow.route_id == route_id,
            MessageRow.token == answer.token,
        )
        .with_for_update()
    ).one_or_none()
    if row is None or (row.state, Event.ACCEPT) not in TRANSITIONS:
        return
    step(session, row, Event.ACCEPT, now=now, detail="late answer")
    _know(session, row, answer.gateway_ids, all_taken=True, now=now)


def file_orphans(session: Session, association_id: int, *, now: datetime) -> None:
    """Give up waiting for the answers that receipts of an hour ago belong to."""
    session.execute(
        update(OrphanReceiptRow)
        .where(
            OrphanReceiptRow.association_id == association_id,
            OrphanReceiptRow.at <= orphan_limit(now),
        )
        .values(filed=True)
    )
