"""The service's place for a gateway whose events come by webhook: a server, and its answers.

A request is held open until each of its events is acknowledged, which answers it as the gateway
said, or given back, which answers 503 and the body, for the far end to bring again.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Condition, Thread

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

LONGEST_S = 20.0
LATER = 503

Handle = Callable[[WebhookRequest], WebhookResult]


@dataclass(slots=True, eq=False)
class _Held:
    """A request that waits for its answer."""

    result: WebhookResult
    later: WebhookResult
    waiting: list[Event]
    open: set[str] = field(default_factory=set)
    answer: WebhookResult | None = None


class Inlet:
    """What the server has got for the gateway that is open now."""

    def __init__(self) -> None:
        self.news = Condition()
        self.gateway: Gateway | None = None
        self.parsed = 0
        self.refused = 0
        self._held: list[_Held] = []

    def handle(self, request: WebhookRequest) -> WebhookResult:
        """Let the gateway read a request; return its answer once that is decided."""
        with self.news:
            gateway = self.gateway
        later = WebhookResult(status=LATER, body=request.body)
        result = later if gateway is None else gateway.parse_webhook(request)
        with self.news:
            self.parsed += 1
            self.news.notify_all()
            if not result.events:
                return result
            ids = {event.event_id for event in result.events}
            held = _Held(result=result, later=later, waiting=list(result.events), open=ids)
            self._held.append(held)
            self.news.wait_for(lambda: held.answer is not None, LONGEST_S)
            self._held.remove(held)
            return held.answer or later

    def take(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return at most `limit` events that nobody has taken."""
        with self.news:
            self.news.wait_for(lambda: any(held.waiting for held in self._held), wait_s)
            events: list[Event] = []
            for held in self._held:
                while held.waiting and len(events) < limit:
                    events.append(held.waiting.pop(0))
            return events

    def finish(self, event: Event) -> None:
        """Answer the event's request as the gateway said, if it was the last one open."""
        with self.news:
            for held in self._held:
                held.open.discard(event.event_id)
                if not held.open and held.answer is None:
                    held.answer = held.result
            self.news.notify_all()

    def give_back(self, event: Event) -> None:
        """Answer the event's request with 503."""
        with self.news:
            for held in self._held:
                if event.event_id in held.open:
                    self._refuse(held)
            self.news.notify_all()

    def open(self, gateway: Gateway | None) -> None:
        """Put another gateway in, as after a crash: what is open then was never answered."""
        with self.news:
            self.gateway = gateway
            for held in self._held:
                self._refuse(held)
            self.news.notify_all()

    def _refuse(self, held: _Held) -> None:
        if held.answer is None:
            held.answer = held.later
            self.refused += 1


@dataclass(slots=True, eq=False)
class HookedGateway:
    """A gateway in the contract's terms: `receive` gives what the inlet got for it.

    `before` is called before each look, so that the far end can bring what is due.
    """

    inner: Gateway
    inlet: Inlet = field(repr=False)
    before: Callable[[], object] = field(repr=False)
    closed: bool = False

    @property
    def capabilities(self) -> Capabilities:
        """What the gateway can do."""
        return self.inner.capabilities

    def submit(self, batch: Sequence[Outgoing], *, deadline: datetime) -> list[Outcome]:
        """Send by the gateway."""
        return self.inner.submit(batch, deadline=deadline)

    def receive(self, *, wait_s: float, limit: int) -> list[Event]:
        """Return the gateway's own events, then those of the inlet."""
        events = self.inner.receive(wait_s=0, limit=limit)
        if len(events) < limit:
            self.before()
            rest_s = 0.0 if events else wait_s
            events += self.inlet.take(wait_s=rest_s, limit=limit - len(events))
        return events

    def ack(self, event: Event) -> None:
        """Let the event's request be answered; not once closed."""
        self.inner.ack(event)
        if not self.closed:
            self.inlet.finish(event)

    def nack(self, event: Event) -> None:
        """Let the event's request be refused for now."""
        self.inner.nack(event)
        if not self.closed:
            self.inlet.give_back(event)

    def parse_webhook(self, request: WebhookRequest) -> WebhookResult:
        """Read a request by the gateway."""
        return self.inner.parse_webhook(request)

    def query(self, gateway_id: str, to: str) -> Receipt | None:
        """Ask by the gateway."""
        return self.inner.query(gateway_id, to)

    def answer_ussd(self, session: str, screen: Screen) -> UssdAnswer:
        """Show a screen by the gateway."""
        return self.inner.answer_ussd(session, screen)

    def check(self, *, deadline: datetime) -> Health:
        """Check the gateway."""
        return self.inner.check(deadline=deadline)

    def health(self) -> Health:
        """Return the gateway's health."""
        return self.inner.health()

    def close(self, *, drain_s: float) -> None:
        """Close the gateway."""
        self.closed = True
        self.inner.close(drain_s=drain_s)


@contextmanager
def serving(handle: Handle) -> Iterator[str]:
    """Serve on a free port of 127.0.0.1 for a block, answers by `handle`; give the address."""

    class Handler(BaseHTTPRequestHandler):
        """Hands each request over."""

        def do_POST(self) -> None:
            """Read, hand over, answer."""
            result = handle(
                WebhookRequest(
                    method=self.command,
                    path=self.path,
                    headers=dict(self.headers.items()),
                    body=self.rfile.read(int(self.headers["content-length"] or 0)),
                    source=str(self.client_address[0]),
                )
            )
            self.send_response(result.status)
            self.send_header("content-type", result.content_type)
            self.send_header("content-length", str(len(result.body)))
            self.end_headers()
            self.wfile.write(result.body)

        @override
        def log_message(self, *_: object) -> None:
            """Say nothing: paths and numbers are nobody's business."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
