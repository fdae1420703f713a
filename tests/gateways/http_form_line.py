"""The HTTP gateway on an independent peer, whose posts go through `parse_webhook`."""

import json
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import Gateway, Outcome
from gateway_adapters.http_form.gateway import HttpFormGateway
from gateway_adapters.http_form.opening import open_http_form
from service.clock import system_clock
from tests.gateways.far_server import FarServer, Write, far_server
from tests.gateways.line import Line
from tests.gateways.peers.driver import WAIT_S, Happening, Peer, http_service
from tests.gateways.webhook_inlet import LATER, HookedGateway, Inlet, serving
from tests.outgoing import EVENING, HALF_MINUTE_LATER, StoppedClock, an_outgoing

SECRET = "sixteen or more, invented"  # noqa: S105 -- the peer's and nobody else's
API_KEY = "another invented secret"
IDEMPOTENT: dict[str, object] = {
    "idempotency_header": "idempotency-key",
    "idempotent_submit": True,
}


def settings_for(port: int, **changes: object) -> dict[str, object]:
    """Return settings for the peer on a port of 127.0.0.1, with all it can do."""
    settings: dict[str, object] = {
        "address": f"http://127.0.0.1:{port}/messages",
        "hosts": [f"127.0.0.1:{port}"],
        "allow_private": True,
        "headers": {"Authorization": f"Bearer {API_KEY}"},
        "body": {"to": "$to", "from": "$from", "text": "$text", "token": "$token"},
        "id": {"pointer": "/id"},
        "errors": {"pointer": "/error", "codes": {"number refused": {"kind": "permanent"}}},
        "window": 1,
        "rate_per_s": 100.0,
        "webhooks": webhook_settings(),
    }
    return settings | changes


def webhook_settings(**changes: object) -> dict[str, object]:
    """Return settings for posts signed by the peer."""
    settings: dict[str, object] = {
        "signing_key": SECRET,
        "receipts": {
            "when": {"at": "/type", "equals": "receipt"},
            "event_id": "/event",
            "id": "/id",
            "to": "/to",
            "state": "/state",
            "code": "/code",
            "at": "/at",
            "states": {"sent": "submitted", "done": "delivered", "no": "failed", "old": "expired"},
        },
        "texts": {
            "when": {"at": "/type", "equals": "text"},
            "event_id": "/event",
            "from": "/from",
            "to": "/to",
            "text": "/text",
        },
    }
    return settings | changes


@contextmanager
def opened(settings: Mapping[str, object]) -> Iterator[HttpFormGateway]:
    """Open a gateway at the evening of the tests for a block."""
    gateway = open_http_form(settings, StoppedClock())
    try:
        yield gateway
    finally:
        gateway.close(drain_s=0)


def send(gateway: HttpFormGateway, *tokens: str) -> list[Outcome]:
    """Send one text a token, or one."""
    messages = [an_outgoing(token, text=f"Namba {token}") for token in tokens or ("m1",)]
    return gateway.submit(messages, deadline=HALF_MINUTE_LATER)


def answered(write: Write, **changes: object) -> tuple[Outcome, FarServer]:
    """Send one text to a server that answers so; return its outcome and the server."""
    with far_server(write) as server, opened(settings_for(server.port, **changes)) as gateway:
        (outcome,) = send(gateway)
    return outcome, server


@dataclass(slots=True, eq=False)
class FarEnd:
    """Lets the peer behave as a gateway that reports, and brings again what was not taken."""

    peer: Peer
    url: str
    inlet: Inlet
    posts: int = 0
    reported: int = 0
    repeated: int = 0

    def arrived(self) -> list[tuple[str, str]]:
        """Return the number and text of each message that the peer took."""
        return [(str(text["to"]), str(text["text"])) for text in self.peer.heard("submit")]

    def say(self, sender: str, text: str) -> None:
        """Post a text from a phone and wait until it was read."""
        self.post({"type": "text", "from": sender, "to": "15050", "text": text})

    def post(self, document: dict[str, object]) -> None:
        """Post a document under a number of its own."""
        self.posts += 1
        self._post(json.dumps(document | {"event": self.posts}))

    def bring_what_is_due(self) -> None:
        """Report each message taken since the last time, and repeat each post that was refused."""
        texts = self.peer.heard("submit")
        due, self.reported = texts[self.reported :], len(texts)
        for message in due:
            self.post(
                {"type": "receipt", "state": "done", "id": message["id"], "to": message["to"]}
            )
        refused = self.peer.wait_for("posted", count=self.inlet.refused, where=_was_refused)
        due, self.repeated = refused[self.repeated :], len(refused)
        for answer in due:
            self._post(str(answer["body"]))

    def _post(self, body: str) -> None:
        before = self.inlet.parsed
        self.peer.tell(act="post", url=self.url, body=body, ageS=_seconds_since_the_evening())
        with self.inlet.news:
            assert self.inlet.news.wait_for(lambda: self.inlet.parsed > before, WAIT_S)


def _was_refused(answer: Happening) -> bool:
    return answer.get("status") == LATER


def _seconds_since_the_evening() -> int:
    """Return how old the peer must say a post is, for the gateway's stopped clock to take it."""
    return round((system_clock() - EVENING).total_seconds())


@pytest.fixture
def http_form_line() -> Iterator[Line]:
    """Return the HTTP gateway with all it can do."""
    inlet, opened = Inlet(), list[Gateway]()
    with ExitStack() as stack:
        peer, port = stack.enter_context(http_service(key=API_KEY, secret=SECRET))
        far_end = FarEnd(peer=peer, url=stack.enter_context(serving(inlet.handle)), inlet=inlet)
        stack.callback(inlet.open, None)

        def restart() -> Gateway:
            settings = settings_for(port) | IDEMPOTENT
            gateway = registry.open_gateway("http_form", settings, StoppedClock())
            opened.append(gateway)
            inlet.open(gateway)
            return HookedGateway(inner=gateway, inlet=inlet, before=far_end.bring_what_is_due)

        yield Line(gateway=restart(), arrived=far_end.arrived, say=far_end.say, restart=restart)
        for gateway in opened:
            gateway.close(drain_s=0)
