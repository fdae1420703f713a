"""The serial modem as a gateway: hands work to the one worker and events to the service."""

from collections.abc import Sequence
from datetime import datetime
from secrets import token_hex
from threading import Lock
from time import monotonic

from gateway_adapters.contract import (
    Capabilities,
    Clock,
    Encoding,
    Health,
    HealthState,
    Outcome,
    Outgoing,
    UssdAnswer,
    WebhookRequest,
    WebhookResult,
)
from gateway_adapters.errors import GatewayClosedError
from gateway_adapters.events import Event, Receipt, Screen
from gateway_adapters.segments import MAX_PARTS
from gateway_adapters.serial_modem.arrivals import Arrivals
from gateway_adapters.serial_modem.desk import Desk
from gateway_adapters.serial_modem.faults import not_sent
from gateway_adapters.serial_modem.inbox import Inbox
from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.ledger import Ledger
from gateway_adapters.serial_modem.sending import Sender
from gateway_adapters.serial_modem.settings import ModemSettings
from gateway_adapters.serial_modem.standing import Standing
from gateway_adapters.serial_modem.turns import References, Turn, refusal_of
from gateway_adapters.serial_modem.worker import Parts, Worker

_ACK_S = 1.0  # an idle modem deletes a text faster; one that is sending is not waited for
_TOO_LATE = "The deadline passed before the message's turn came."
_BUSY = "The modem is busy with a text; ask again later."
_CHECK_LATE = "The modem did not answer in time."


class SerialModemGateway:
    """A GSM modem and its SIM. Nothing is opened before the first use."""

    def __init__(self, settings: ModemSettings, clock: Clock) -> None:
        self._clock = clock
        self._desk, self._inbox, self._standing = Desk(), Inbox(), Standing(clock)
        ledger = Ledger(Journal(settings.folder), clock)
        arrivals = Arrivals(ledger, clock, own_number=settings.own_number)
        sender = Sender(settings, desk=self._desk, ledger=ledger, arrivals=arrivals)
        self._worker = Worker(
            settings,
            Parts(
                desk=self._desk,
                inbox=self._inbox,
                standing=self._standing,
                ledger=ledger,
                arrivals=arrivals,
                sender=sender,
            ),
        )
        self._references = References()
        self._lock = Lock()
        self._run, self._turns = token_hex(4), 0
        self._is_closed = False
        self._capabilities = Capabilities(
            encodings=frozenset(Encoding),
            max_segments=MAX_PARTS,
            receipts=True,
            inbound_text=True,
            ussd=False,
            query=False,
            cancel=False,
            idempotent_submit=False,
            window=1,
            rate_per_s=settings.rate_per_s,
        )

    @property
    def capabilities(self) -> Capabilities:
        """What a modem can do."""
        return self._capabilities

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Return one outcome a message, in the same order, by the deadline.

        Raises:
            GatewayClosedError: the gateway was closed.
        """
        self._refuse_if_closed()
        now = self._clock()
        left_s = (deadline - now).total_seconds()
        turns = [self._turn(message, now=now, left_s=left_s) for message in batch]
        trouble = self._standing.trouble
        for turn in turns:
            if turn.outcome is None and trouble is not None:
                turn.outcome = trouble
        if any(turn.outcome is None for turn in turns):
            self._worker.start()
            self._desk.serve(turns, wait_s=left_s)
        return [turn.outcome or not_sent(_TOO_LATE) for turn in turns]

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events, waiting up to `wait_s` seconds for the first.

        Raises:
            GatewayClosedError: the gateway was closed.
        """
        self._refuse_if_closed()
        self._worker.start()
        return self._inbox.take(wait_s=wait_s, limit=limit)

    def ack(self, event: Event) -> None:
        """Let the event never come again; a text is deleted from the SIM, soon if not at once.

        Once closed it stays on the SIM, and so it comes again.
        """
        if self._is_closed:
            return
        if self._inbox.ack(event.event_id) and self._standing.is_up:
            self._desk.poke()
            self._inbox.wait_deleted(event.event_id, wait_s=_ACK_S)

    def nack(self, event: Event) -> None:
        """Give the event back, to come again first."""
        self._inbox.give_back(event.event_id)

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:  # noqa: ARG002 -- the contract's
        """Refuse: nobody calls us on behalf of a modem."""
        return WebhookResult(status=404)

    def query(self, gateway_id: str, to: str) -> Receipt | None:  # noqa: ARG002 -- the contract's
        """Return None: a modem cannot be asked what became of a text.

        Raises:
            GatewayClosedError: the gateway was closed.
        """
        self._refuse_if_closed()
        return None

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:  # noqa: ARG002 -- the contract's
        """Show nothing: a modem opens no menu on other phones."""
        return UssdAnswer(gone=True)

    def check(self, *, deadline: datetime) -> Health:
        """Open the modem if need be, ask for SIM, network and signal, and return how it is."""
        if self._is_closed:
            return self.health()
        self._worker.start()
        left_s = (deadline - self._clock()).total_seconds()
        if self._desk.check(wait_s=left_s):
            return self.health()
        if self._standing.is_up and self._desk.head() is not None:
            return Health(state=HealthState.DEGRADED, reason=_BUSY)
        return Health(state=HealthState.DOWN, reason=_CHECK_LATE)

    def health(self) -> Health:
        """Return how the modem was when it was last looked at; no traffic is caused."""
        return self._standing.health()

    def close(self, *, drain_s: float) -> None:
        """Take no more work, wait up to `drain_s` seconds for an answer, give the device back."""
        with self._lock:
            if self._is_closed:
                return
            self._is_closed = True
        self._standing.closed()
        until = monotonic() + drain_s
        self._desk.shut(drain_s=drain_s)
        if self._standing.is_up:
            self._inbox.wait_all_deleted(wait_s=until - monotonic())
        self._desk.stop()
        self._worker.end()
        self._inbox.close()

    def _turn(self, message: Outgoing, *, now: datetime, left_s: float) -> Turn:
        valid_s = (message.valid_until - now).total_seconds()
        refusal = not_sent(_TOO_LATE) if left_s <= 0 else refusal_of(message, valid_s=valid_s)
        is_long = refusal is None and len(message.segments.parts) > 1
        with self._lock:
            self._turns += 1
            return Turn(
                id=f"{self._run}-{self._turns}",
                message=message,
                valid_until=monotonic() + valid_s,
                reference=self._references.next_for(message.to) if is_long else 0,
                outcome=refusal,
            )

    def _refuse_if_closed(self) -> None:
        if self._is_closed:
            raise GatewayClosedError("The serial modem was closed; open a new one.")
