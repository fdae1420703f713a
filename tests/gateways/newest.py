"""Whatever gateway of a route was opened last, for far ends that only one can hold."""

from collections.abc import Callable, Sequence
from datetime import datetime

from typing_extensions import override

from gateway_adapters.contract import (
    Capabilities,
    Gateway,
    Health,
    Outcome,
    Outgoing,
    UssdAnswer,
    WebhookRequest,
    WebhookResult,
)
from gateway_adapters.events import Event, Receipt, Screen


class Newest:
    """Stands for the gateway that was opened last, since only one can hold the far end.

    `restart` takes it from the one before, which first gives back what is not acknowledged: a far
    end here need not say again what was unanswered when a connection ended.
    """

    def __init__(self, open_one: Callable[[], Gateway]) -> None:
        self._open_one = open_one
        self.now = open_one()

    @override
    def __repr__(self) -> str:
        return repr(self.now)

    @property
    def capabilities(self) -> Capabilities:
        """As the newest says."""
        return self.now.capabilities

    def restart(self) -> Gateway:
        """Open the gateway anew."""
        self.now.close(drain_s=0)
        self.now = self._open_one()
        return self

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Hand on."""
        return self.now.submit(batch, deadline=deadline)

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Hand on."""
        return self.now.receive(wait_s=wait_s, limit=limit)

    def ack(self, event: Event) -> None:
        """Hand on."""
        self.now.ack(event)

    def nack(self, event: Event) -> None:
        """Hand on."""
        self.now.nack(event)

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:
        """Hand on."""
        return self.now.parse_webhook(request)

    def query(self, gateway_id: str, to: str) -> Receipt | None:
        """Hand on."""
        return self.now.query(gateway_id, to)

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:
        """Hand on."""
        return self.now.answer_ussd(session, screen)

    def check(self, *, deadline: datetime) -> Health:
        """Hand on."""
        return self.now.check(deadline=deadline)

    def health(self) -> Health:
        """Hand on."""
        return self.now.health()

    def close(self, *, drain_s: float) -> None:
        """Hand on."""
        self.now.close(drain_s=drain_s)
