"""The parts of a long text: which ids the gateway gave them, and what they make of the whole."""

from collections.abc import Iterable, Sequence

from sqlalchemy import select

from service.messages.lifecycle import RANK, State, after_receipt
from service.records.engine import Session
from service.records.traffic import MessageRow
from service.records.wire import MessagePartRow


def whole_state(parts: Iterable[State]) -> State:
    """Return what a text has become, from what its parts have.

    One that failed fails the whole, else one that expired lets it expire; only when all were
    delivered was it delivered; else it stands where the part stands that has come least far.

    Raises:
        ValueError: there is no part.
    """
    states = set(parts)
    for bad in (State.FAILED, State.EXPIRED):
        if bad in states:
            return bad
    return min(states, key=RANK.__getitem__)


def know_parts(
    session: Session, row: MessageRow, gateway_ids: Sequence[str], *, all_taken: bool
) -> None:
    """Keep the ids that the gateway gave to a text's parts, in their order.

    One id for a text that was taken as a whole speaks for all of it, and needs no row.
    """
    if (all_taken and len(gateway_ids) == 1) or (row.segments or 1) == 1:
        return
    known = {part.number for part in parts_of(session, row)}
    session.add_all(
        MessagePartRow(
            association_id=row.association_id,
            message_id=row.id,
            route_id=row.route_id,
            number=number,
            gateway_id=gateway_id,
            state=State.SUBMITTED,
        )
        for number, gateway_id in enumerate(gateway_ids, start=1)
        if number not in known
    )
    session.flush()


def parts_of(session: Session, row: MessageRow) -> Sequence[MessagePartRow]:
    """Return the parts of a text that have ids of their own, in order."""
    return session.scalars(
        select(MessagePartRow)
        .where(
            MessagePartRow.message_id == row.id,
            MessagePartRow.association_id == row.association_id,
        )
        .order_by(MessagePartRow.number)
    ).all()


def told_of_whole(session: Session, row: MessageRow, gateway_id: str, told: State) -> State:
    """Return what a receipt says of the whole text, after noting it for the part it is about."""
    parts = parts_of(session, row)
    if not parts:
        return told
    for part in parts:
        if part.gateway_id == gateway_id:
            part.state = after_receipt(part.state, told)
    session.flush()
    states = [part.state for part in parts]
    if len(parts) < (row.segments or 1):
        states.append(State.UNKNOWN)  # the parts after these may not have left
    return whole_state(states)
