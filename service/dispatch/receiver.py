"""Inward from the gateway: each event is acknowledged only after it is stored."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from gateway_adapters.contract import UssdAnswer
from gateway_adapters.events import (
    Event,
    Inbound,
    LateAnswer,
    Receipt,
    Screen,
    UssdBegin,
    UssdEnd,
    UssdEvent,
    UssdInput,
)
from service.clock import Clock
from service.dispatch.dispatcher import Lane, Mark, no_mark
from service.outbox.receipts import attach_answer, record_receipt
from service.outbox.retry import PARTS_WAITED
from service.records.engine import Session, Sessions
from service.records.inbound_parts import join_part, overdue_parts
from service.records.parked_texts import take_parked

BATCH = 200
OnText = Callable[[Session, Lane, Inbound], None]
OnUssd = Callable[[Session, Lane, UssdEvent], Screen | None]
Kept = Callable[[Session, Lane], Sequence[Inbound]]


def parked(session: Session, lane: Lane) -> list[Inbound]:
    """Return the texts that were kept unread while the clock was in doubt."""
    return take_parked(session, lane.association_id, lane.route_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Takers:
    """What is done with a text, and with a step of a USSD session, which may give a screen.

    `kept` gives the texts that came earlier and are to be read now.
    """

    on_text: OnText
    on_ussd: OnUssd
    kept: Kept = parked


class Receiver:
    """Takes receipts, texts and USSD steps from a route."""

    def __init__(  # noqa: PLR0913 -- whoever takes in needs each of these
        self,
        sessions: Sessions,
        lane: Lane,
        *,
        takers: Takers,
        clock: Clock,
        mark: Mark = no_mark,
        go_on: Callable[[], bool] = lambda: True,
    ) -> None:
        self._sessions = sessions
        self._lane = lane
        self._takers = takers
        self._clock = clock
        self._mark = mark
        self._go_on = go_on

    def run_once(self, *, wait_s: float = 0.0) -> int:
        """Store what has come in, while `go_on` says so; return how many events that was.

        What cannot be stored, and all that came with it, is given back, to come again.
        """
        self._tidy()
        seen = 0
        while self._go_on() and (events := self._lane.gateway.receive(wait_s=wait_s, limit=BATCH)):
            self._take_all(events)
            seen += len(events)
            wait_s = 0.0
        return seen

    def _take_all(self, events: Sequence[Event]) -> None:
        gateway, left = self._lane.gateway, list(events)
        try:
            while left and self._go_on():
                self.take(left[0])
                gateway.ack(left.pop(0))
        finally:
            for event in reversed(left):  # each goes before all others
                gateway.nack(event)

    def take(self, event: Event) -> UssdAnswer | None:
        """Store an event, and show the screen that it leads to once it is stored.

        Returns:
            What became of the screen; None where the event asks for none.
        """
        with self._sessions.begin(alone=self._lane.association_id) as session:
            screen = self._store(session, event)
        self._mark("after-receipt")
        if screen is None or not isinstance(event, UssdBegin | UssdInput):
            return None
        return self._lane.gateway.answer_ussd(event.session, screen)

    def _tidy(self) -> None:
        lane, since = self._lane, self._clock() - PARTS_WAITED
        with self._sessions.begin(alone=lane.association_id) as session:
            overdue = overdue_parts(session, lane.association_id, lane.route_id, since=since)
            for text in (*self._takers.kept(session, lane), *overdue):
                self._takers.on_text(session, lane, text)

    def _store(self, session: Session, event: Event) -> Screen | None:
        lane, now = self._lane, self._clock()
        tenant, route_id = lane.association_id, lane.route_id
        match event:
            case Receipt():
                record_receipt(session, tenant, route_id, event, now=now)
            case LateAnswer():
                attach_answer(session, tenant, route_id, event, now=now)
            case Inbound():
                whole = join_part(session, tenant, route_id, event, now=now)
                if whole is not None:
                    self._takers.on_text(session, lane, whole)
            case UssdBegin() | UssdInput() | UssdEnd():
                return self._takers.on_ussd(session, lane, event)
        return None
