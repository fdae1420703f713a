"""The SMPP gateway: the contract, over connections kept by threads of their own."""

import time
from collections.abc import Sequence
from datetime import datetime
from secrets import SystemRandom

from typing_extensions import override

from gateway_adapters.contract import (
    Ambiguous,
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
from gateway_adapters.smpp.addresses import sender_address
from gateway_adapters.smpp.codes import state_of_number
from gateway_adapters.smpp.commands import Status
from gateway_adapters.smpp.jobs import Call, Job
from gateway_adapters.smpp.links import LATE, Links
from gateway_adapters.smpp.outgoing import Outgoings, not_sent
from gateway_adapters.smpp.settings import SmppSettings
from gateway_adapters.smpp.traffic import Traffic

_CLOSED = "The SMPP gateway was closed; open a new one."
_dice = SystemRandom()


class SmppGateway:
    """A message centre that speaks SMPP 3.4. Nothing is connected before the first use."""

    def __init__(self, settings: SmppSettings, clock: Clock) -> None:
        self._settings = settings
        self._clock = clock
        self._traffic = Traffic(settings, clock, roll=_dice.random, now=time.monotonic())
        self._links = Links(self._traffic, clock, roll=_dice.random)
        self._outgoings = Outgoings(settings, start=lambda: _dice.randrange(256))

    @override
    def __repr__(self) -> str:
        return f"SmppGateway({self._settings.mode.value})"

    @property
    def capabilities(self) -> Capabilities:
        """What this route can do."""
        return Capabilities(
            encodings=frozenset(Encoding),
            max_segments=MAX_PARTS,
            receipts=True,
            inbound_text=True,
            ussd=False,
            query=True,
            cancel=False,
            idempotent_submit=False,
            window=self._settings.window,
            rate_per_s=self._settings.rate_per_s,
        )

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Return one outcome a message, in the same order; wait for answers until the deadline.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        at, now = self._clock(), time.monotonic()
        until = now + (deadline - at).total_seconds()
        call = Call()
        with self._traffic.lock:
            self._refuse_if_closed()
            if until <= now:
                return [not_sent(LATE) for _ in batch]
            made = [self._outgoings.job(message, call, at=at, now=now) for message in batch]
            self._send([item for item in made if isinstance(item, Job)], call, until=until)
        return [_outcome(item) if isinstance(item, Job) else item for item in made]

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events, waiting up to `wait_s` seconds for the first.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        until = time.monotonic() + wait_s
        traffic = self._traffic
        with traffic.lock:
            self._refuse_if_closed()
            self._links.start()
            while not (events := traffic.deliveries.inbox.take(limit)) and not traffic.closing:
                left_s = until - time.monotonic()
                if left_s <= 0:
                    break
                traffic.arrivals.wait(left_s)
            return events

    def ack(self, event: Event) -> None:
        """Let the gateway know that the event is stored; once closed, it will send it again."""
        with self._traffic.lock:
            self._traffic.deliveries.finish(event.event_id)
            self._links.write_all()

    def nack(self, event: Event) -> None:
        """Ask the gateway to send the event again later."""
        with self._traffic.lock:
            self._traffic.deliveries.inbox.give_back(event.event_id)
            self._links.write_all()

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:  # noqa: ARG002 -- the contract's
        """Refuse: nobody calls us by HTTP here."""
        return WebhookResult(status=404)

    def query(self, gateway_id: str, to: str) -> Receipt | None:
        """Ask what became of a text; None if the gateway, or we, cannot say.

        The question needs the text's sender, which is known for what this object sent lately;
        for the rest the setting `query_sender` stands in.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        with self._traffic.lock:
            self._refuse_if_closed()
            sent = self._traffic.matching.sent(gateway_id, to)
        sender = self._settings.query_sender if sent is None else sent.sender
        source = sender_address(sender, self._settings.source)
        if source is None:
            return None
        question = self._links.ask(
            lambda session: session.ask_state(gateway_id, source),
            time.monotonic() + self._settings.timing.answer_s,
        )
        answer = None if question is None else question.answer
        if answer is None or answer.status != Status.OK or answer.message_state is None:
            return None
        state = state_of_number(answer.message_state)
        return Receipt(
            event_id=f"{gateway_id}:{state}",
            gateway_id=gateway_id,
            to=to,
            state=state,
            at=self._clock(),
            code=f"{answer.error_code:03}" if answer.error_code else "",
        )

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:  # noqa: ARG002 -- the contract's
        """Show nothing: menus do not come this way."""
        return UssdAnswer(gone=True)

    def check(self, *, deadline: datetime) -> Health:
        """Sign in and ask for a sign of life; send no text."""
        until = time.monotonic() + (deadline - self._clock()).total_seconds()
        return self.health() if self._traffic.closing else self._links.try_all(until)

    def health(self) -> Health:
        """Return how the connections stand, or that the gateway has asked for a slower pace."""
        with self._traffic.lock:
            if self._traffic.closing:
                return Health(state=HealthState.DOWN, reason="The gateway was closed.")
            health = self._links.health()
            if health.state is HealthState.UP and self._traffic.desk.pace.slowed:
                return Health(
                    state=HealthState.DEGRADED,
                    reason="The gateway asked for a slower pace.",
                    since=health.since,
                )
            return health

    def close(self, *, drain_s: float) -> None:
        """Let outstanding answers arrive for `drain_s`, say goodbye, and end within a second."""
        until = time.monotonic() + drain_s
        with self._traffic.lock:
            if self._traffic.closing:
                return
            self._traffic.stop(not_sent("The gateway was closed."))
        self._links.close(until)

    def _send(self, jobs: Sequence[Job], call: Call, *, until: float) -> None:
        """Send and wait; afterwards every job has its outcome. With the lock held."""
        if not jobs:
            return
        traffic, links = self._traffic, self._links
        links.start()
        failures = links.failures
        traffic.send(call, jobs)
        links.wake()
        while call.unsettled:
            now = time.monotonic()
            if now >= until:
                traffic.give_up(call, now, links.unsent(now))
            elif unsent := links.hopeless(failures, until=until, now=now):
                traffic.drop_waiting(call, unsent)
                if call.unsettled:
                    traffic.answers.wait(until - now)
            else:
                traffic.answers.wait(until - now)

    def _refuse_if_closed(self) -> None:
        if self._traffic.closing:
            raise GatewayClosedError(_CLOSED)


def _outcome(job: Job) -> Outcome:
    return job.outcome or Ambiguous(reason="no-answer")  # `_send` leaves none without one
