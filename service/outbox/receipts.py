"""What came of a send: the gateway's answers, and the receipts that follow in any order."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import bindparam, delete, or_, select, update

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected
from gateway_adapters.events import LateAnswer, Receipt
from service.messages.lifecycle import RECEIPT_EVENTS, TRANSITIONS, Event, State, after_receipt
from service.outbox.batch_writes import Taken, accept_batch
from service.outbox.claim import Claim, Claimed
from service.outbox.parts import know_parts, told_of_whole
from service.outbox.refusals import count_refusal, reject
from service.outbox.retry import orphan_limit
from service.outbox.steps import step
from service.records.base import UtcDateTime
from service.records.engine import Session
from service.records.once import insert_once
from service.records.traffic import ClaimRow, MessageRow, OrphanReceiptRow
from service.records.wire import MessagePartRow

_ANSWERABLE = (State.CLAIMED, State.UNKNOWN)
_END_LEASE = delete(ClaimRow).where(
    ClaimRow.id == bindparam("claim"),
    ClaimRow.association_id == bindparam("association"),
    # a number that was rolled back is given anew
    ClaimRow.expires_at == bindparam("ends", type_=UtcDateTime()),
)


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
    answers = list(zip(claim.messages, outcomes, strict=True))
    accepted = _accept_all(session, association_id, answers, now=now)
    counted: Outcome | None = None
    for item, outcome in answers:
        in_time = item.message_id in accepted or _settle_one(session, item, outcome, now=now)
        if not in_time:  # what a worker that overslept was told says nothing of the route
            continue
        if not (isinstance(outcome, Accepted) and isinstance(counted, Accepted)):
            count_refusal(session, claim.route_id, outcome, now=now)
        counted = outcome  # of several yeses in a row one is enough
    session.flush()
    lease = {
        "claim": claim.claim_id,
        "association": association_id,
        "ends": claim.expires_at,
    }
    session.connection().execute(_END_LEASE, lease)


def _accept_all(
    session: Session,
    association_id: int,
    answers: Sequence[tuple[Claimed, Outcome]],
    *,
    now: datetime,
) -> set[int]:
    """Write down at once the plain answers, a yes with one id or none; return their texts' ids.

    A text whose lease has run out, or that was claimed anew, is left to be looked at by itself.
    """
    session.flush()
    taken = [
        Taken(
            id=item.message_id,
            token=item.token,
            gateway_id=outcome.gateway_ids[0] if outcome.gateway_ids else None,
        )
        for item, outcome in answers
        if isinstance(outcome, Accepted) and len(outcome.gateway_ids) <= 1
    ]
    accepted = accept_batch(session, association_id, taken, now=now)
    session.expire_all()  # an object that was read before knows nothing of all this
    for message_id in [item.id for item in accepted if item.heard]:
        row = session.get_one(MessageRow, message_id)
        _hear_early(session, row, [row.gateway_id or ""], now=now)
    return {item.id for item in accepted}


def _settle_one(session: Session, item: Claimed, outcome: Outcome, *, now: datetime) -> bool:
    """Write down one answer; say whether it came while the lease held."""
    row = session.get_one(MessageRow, item.message_id, with_for_update=True)
    if row.token != item.token or row.state not in _ANSWERABLE:
        return False
    in_time = row.state is State.CLAIMED
    match outcome:
        case Accepted():
            step(session, row, Event.ACCEPT, now=now)
            _know(session, row, outcome.gateway_ids, all_taken=True, now=now)
        case Rejected():
            reject(session, row, outcome, now=now)
        case Ambiguous():
            if row.state is State.CLAIMED:
                step(session, row, Event.LOSE, now=now, detail="no clear answer")
            _know(session, row, outcome.gateway_ids, all_taken=False, now=now)
    return in_time


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
    _hear_early(session, row, gateway_ids, now=now)


def _hear_early(
    session: Session, row: MessageRow, gateway_ids: Sequence[str], *, now: datetime
) -> None:
    """Let the receipts count that came before the answer that gave these ids."""
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
            OrphanReceiptRow.filed.is_(False),
        )
        .values(filed=True)
    )
