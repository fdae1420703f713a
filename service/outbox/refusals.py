"""What a refusal does: to the text that it is about, and to the route that refuses."""

from datetime import datetime

from sqlalchemy import bindparam, or_, update

from gateway_adapters.contract import Accepted, Outcome, Rejected, RejectKind, Scope
from service.messages.lifecycle import Event, State
from service.outbox.retry import MAX_TRIES, MOST_REFUSALS, ROUTE_REST, next_try_at
from service.outbox.steps import step
from service.records.engine import Session
from service.records.traffic import MessageRow, RouteRow

_FORGIVE = (
    update(RouteRow)
    .where(RouteRow.id == bindparam("route"), RouteRow.refusals > 0)
    .values(refusals=0)
)


def reject(session: Session, row: MessageRow, outcome: Rejected, *, now: datetime) -> None:
    """Let a text fail, wait, or try again, and pause its route, as a refusal asks."""
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


def count_refusal(session: Session, route_id: int, outcome: Outcome, *, now: datetime) -> None:
    """Rest a route that refuses one text after another; being asked to go slower is no refusal."""
    if isinstance(outcome, Accepted):
        session.connection().execute(_FORGIVE, {"route": route_id})
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
