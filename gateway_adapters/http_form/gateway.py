"""The gateway: sending over HTTP, events by webhook, screens in answers."""

import ssl
import time
from collections.abc import Sequence
from datetime import datetime
from threading import Condition

from gateway_adapters.contract import (
    Capabilities,
    Clock,
    Health,
    HealthState,
    Outcome,
    Outgoing,
    UssdAnswer,
    WebhookRequest,
    WebhookResult,
)
from gateway_adapters.errors import GatewayClosedError, GatewayConfigError
from gateway_adapters.events import Event, Receipt, Screen, UssdBegin, UssdEnd, UssdInput
from gateway_adapters.http_form.attempt import Attempt
from gateway_adapters.http_form.exchange import Wire, open_transport
from gateway_adapters.http_form.late import LateEvents
from gateway_adapters.http_form.loop_thread import LoopClosedError, LoopThread
from gateway_adapters.http_form.probe import probe
from gateway_adapters.http_form.requests import Item, not_sent, refusal
from gateway_adapters.http_form.resolve import LookUp, system_look_up
from gateway_adapters.http_form.route_health import RouteHealth
from gateway_adapters.http_form.sender import Sender
from gateway_adapters.http_form.sessions import Sessions
from gateway_adapters.http_form.settings import HttpFormSettings
from gateway_adapters.http_form.ussd import screen_response
from gateway_adapters.http_form.webhooks import read_request

_NOT_FOUND = 404


class HttpFormGateway:
    """A gateway with an HTTP interface, all of it in settings.

    Receipts, texts and steps of sessions come by `parse_webhook`. `receive` gives only the
    answers that came too late for `submit`; nothing is polled.
    """

    def __init__(
        self, settings: HttpFormSettings, clock: Clock, *, look_up: LookUp = system_look_up
    ) -> None:
        """Take read settings; nothing is called before the first text.

        Raises:
            GatewayConfigError: The file of certificates holds none.
        """
        self._settings = settings
        self._clock = clock
        self._health = RouteHealth(clock)
        self._late = LateEvents()
        self._sessions = Sessions()
        self._thread = LoopThread()
        try:
            transport = open_transport(settings.sending)
        except (OSError, ssl.SSLError) as error:
            raise GatewayConfigError("'ca_file' holds no certificates that can be read.") from error
        self._wire = Wire(settings=settings.sending, transport=transport, look_up=look_up)
        attempt = Attempt(self._wire, clock=clock)
        self._sender = Sender(
            settings.sending, attempt, note=self._health.note, late=self._late.put
        )
        self._calls = Condition()
        self._running = 0
        self._closed = False

    @property
    def capabilities(self) -> Capabilities:
        """What the settings make it able to do; nothing can be asked for or cancelled."""
        sending, webhooks = self._settings.sending, self._settings.webhooks
        return Capabilities(
            encodings=sending.encodings,
            max_segments=sending.max_segments,
            receipts=webhooks is not None and webhooks.receipts is not None,
            inbound_text=webhooks is not None and webhooks.texts is not None,
            ussd=webhooks is not None and webhooks.ussd is not None,
            query=False,
            cancel=False,
            idempotent_submit=sending.idempotent_submit,
            window=sending.window,
            rate_per_s=sending.rate_per_s,
        )

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Return one outcome a message, in the same order, before the deadline.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        begun = time.monotonic()
        now = self._clock()
        left_s = (deadline - now).total_seconds()
        with self._calls:
            self._refuse_if_closed()
            self._running += 1
        try:
            outcomes: dict[int, Outcome] = {}
            items: list[Item] = []
            for place, message in enumerate(batch):
                life_s = (message.valid_until - now).total_seconds()
                refused = refusal(message, self._settings.sending, left_s=life_s)
                if left_s <= 0:
                    outcomes[place] = not_sent("The deadline had passed before any text left.")
                elif refused is not None:
                    outcomes[place] = refused
                else:
                    items.append((place, message, life_s))
            if items:
                rest_s = left_s - (time.monotonic() - begun)
                outcomes |= self._thread.run(lambda: self._sender.send(items, left_s=rest_s))
            return [outcomes[place] for place in range(len(batch))]
        finally:
            with self._calls:
                self._running -= 1
                self._calls.notify_all()

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return answers that came too late for `submit`, waiting up to `wait_s` seconds.

        Raises:
            GatewayClosedError: The gateway was closed.
        """
        self._refuse_if_closed()
        return self._late.take(wait_s=wait_s, limit=limit)

    def ack(self, event: Event) -> None:
        """Let a late answer never come again; a webhook is acknowledged by its own answer."""
        self._late.finish(event)

    def nack(self, event: Event) -> None:
        """Give a late answer back; a webhook is given back by an answer of failure."""
        self._late.give_back(event)

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:
        """Read a request; give its answer only once its events are stored."""
        if self._settings.webhooks is None:
            return WebhookResult(status=_NOT_FOUND)
        result = read_request(self._settings.webhooks, request, now=self._clock())
        for event in result.events:
            if isinstance(event, UssdBegin | UssdInput | UssdEnd):
                self._sessions.note(event)
        return result

    def query(self, gateway_id: str, to: str) -> Receipt | None:  # noqa: ARG002 -- the contract's
        """Return None: such a gateway is not asked."""
        return None

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:
        """Return the answer to give to the session's last request, once.

        Raises:
            ValueError: The screen is longer than a USSD string can be.
        """
        webhooks = self._settings.webhooks
        if self._closed or webhooks is None or webhooks.ussd_answers is None:
            return UssdAnswer(gone=True)
        response = screen_response(webhooks.ussd_answers, session, screen)
        if not self._sessions.answer(session):
            return UssdAnswer(gone=True)
        return UssdAnswer(response=response)

    def check(self, *, deadline: datetime) -> Health:
        """Connect, with TLS where it is set, and hang up; no request is made."""
        left_s = (deadline - self._clock()).total_seconds()
        try:
            fault = self._thread.run(lambda: probe(self._wire, left_s=left_s))
        except LoopClosedError:
            return self.health()
        if fault is None:
            self._health.set(HealthState.UP)
        else:
            self._health.set(HealthState.DOWN, fault)
        return self.health()

    def health(self) -> Health:
        """Return the route's state by what last came of a text."""
        if self._closed:
            return Health(state=HealthState.DOWN, reason="The gateway was closed.")
        return self._health.now

    def close(self, *, drain_s: float) -> None:
        """Take no more work, wait for answers under way, and hang up."""
        with self._calls:
            self._closed = True
        if self._thread.begun:
            self._thread.run(lambda: self._sender.drain(drain_s))
        with self._calls:
            self._calls.wait_for(lambda: self._running == 0)
        self._thread.close()

    def _refuse_if_closed(self) -> None:
        if self._closed:
            raise GatewayClosedError("The HTTP gateway was closed; open a new one.")
