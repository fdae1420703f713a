"""Inward from the gateway: each event is acknowledged only after it is stored."""

from collections.abc import Callable

from gateway_adapters.contract import Inbound, Receipt
from service.clock import Clock
from service.dispatch.dispatcher import Lane, Mark, no_mark
from service.outbox.receipts import record_receipt
from service.records.engine import Session, Sessions

BATCH = 200
OnText = Callable[[Session, Lane, Inbound], None]


class Receiver:
    """Takes receipts and texts from a route."""

    def __init__(
        self, sessions: Sessions, lane: Lane, *, on_text: OnText, clock: Clock, mark: Mark = no_mark
    ) -> None:
        self._sessions = sessions
        self._lane = lane
        self._on_text = on_text
        self._clock = clock
        self._mark = mark

    def run_once(self, *, wait_s: float = 0.0) -> int:
        """Store what has come in; return how many events that was."""
        seen = 0
        while events := self._lane.gateway.receive(wait_s=wait_s, limit=BATCH):
            for event in events:
                with self._sessions.begin() as session:
                    match event:
                        case Receipt():
                            record_receipt(
                                session,
                                self._lane.association_id,
                                self._lane.route_id,
                                event,
                                now=self._clock(),
                            )
                        case Inbound():
                            self._on_text(session, self._lane, event)
                self._mark("after-receipt")
                self._lane.gateway.ack(event)
            seen += len(events)
            wait_s = 0.0
        return seen
