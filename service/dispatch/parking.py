"""What is done with what comes in while the clock is in doubt: a text is kept, and read later.

Read at once, a DONE would count on a wrong day, and the plan made anew from it.
"""

from gateway_adapters.events import Inbound
from service.dispatch.dispatcher import Lane
from service.dispatch.receiver import OnUssd, Takers
from service.records.engine import Session
from service.records.parked_texts import park_text


def parking(closed: OnUssd) -> Takers:
    """Return takers that keep each text unread, and answer each step of a session by `closed`."""
    return Takers(on_text=_park, on_ussd=closed, kept=_nothing)


def _park(session: Session, lane: Lane, event: Inbound) -> None:
    park_text(session, lane.association_id, lane.route_id, event)


def _nothing(_session: Session, _lane: Lane) -> list[Inbound]:
    return []
