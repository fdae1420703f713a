"""Texts in doubt: the gateway is asked before a person is."""

from gateway_adapters.errors import GatewayError
from service.clock import Clock
from service.dispatch.dispatcher import Lane
from service.outbox.asking import questions
from service.outbox.receipts import record_receipt
from service.records.engine import Sessions


class Asker:
    """Asks what became of texts of which nobody knows whether they left."""

    def __init__(self, sessions: Sessions, lane: Lane, *, clock: Clock) -> None:
        self._sessions = sessions
        self._lane = lane
        self._clock = clock

    def run_once(self) -> int:
        """Ask what is due to be asked; return how many answers came."""
        lane = self._lane
        if not lane.gateway.capabilities.query:
            return 0
        with self._sessions.begin(alone=lane.association_id) as session:
            asked = questions(session, lane.association_id, lane.route_id, now=self._clock())
        heard = 0
        for question in asked:
            for gateway_id in question.gateway_ids:
                heard += self._ask(gateway_id, question.number)
        return heard

    def _ask(self, gateway_id: str, number: str) -> bool:
        lane = self._lane
        try:
            receipt = lane.gateway.query(gateway_id, number)
        except GatewayError:
            return False  # closed meanwhile; the text stays in doubt
        if receipt is None:
            return False
        with self._sessions.begin(alone=lane.association_id) as session:
            record_receipt(session, lane.association_id, lane.route_id, receipt, now=self._clock())
        return True
