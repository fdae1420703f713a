"""A hundred thousand bodies that dice choose: no crash, and nothing from an unsigned one."""

import hashlib
import hmac
import json
from collections import Counter

import pytest

from gateway_adapters.contract import WebhookRequest
from gateway_adapters.http_form.opening import open_http_form
from tests.gateways.http_form_line import SECRET, settings_for, webhook_settings
from tests.outgoing import EVENING, PHONE, StoppedClock
from tests.peers.dice import Dice

SEED = 20270315
BODIES = 100_000
STAMP = str(int(EVENING.timestamp()))
MENU: dict[str, object] = {
    "when": {"at": "/type", "equals": "menu"},
    "session": "/id",
    "phone": "/from",
    "text": "/text",
    "answer": {"t": "$text", "m": "$mark"},
}
WHOLE = [
    json.dumps(document).encode()
    for document in (
        {"type": "receipt", "event": 1, "id": "1001", "to": PHONE, "state": "done", "at": "1805"},
        {"type": "text", "event": "7", "from": PHONE, "to": "15050", "text": "A3 ŋ \ud800"},
        {"type": "menu", "id": "s", "from": PHONE, "text": "1"},
    )
]
PIECES = [
    b"{",
    b"}",
    b"[",
    b"]",
    b'"',
    b":",
    b",",
    b"\\u0000",
    b"\\ud800",
    b"\xff",
    b"\x00",
    b"1e99",
]


def _body(dice: Dice) -> bytes:
    """Return a whole body, one with a few octets changed, or noise."""
    kind = dice.between(0, 9)
    if kind == 0:
        return bytes(dice.between(0, 255) for _ in range(dice.between(0, 60)))
    if kind == 1:
        return b"".join(dice.pick(PIECES) for _ in range(dice.between(0, 60)))
    body = bytearray(dice.pick(WHOLE))
    for _ in range(dice.between(0, 3)):
        at = dice.between(0, len(body) - 1)
        body[at : at + dice.between(0, 2)] = dice.pick(PIECES)
    return bytes(body)


@pytest.mark.slow
def test_no_body_crashes_the_parser_and_no_unsigned_one_says_anything() -> None:
    settings = settings_for(9, webhooks=webhook_settings(ussd=MENU))
    gateway = open_http_form(settings, StoppedClock())
    dice = Dice(SEED)
    seen: Counter[str] = Counter()

    for number in range(BODIES):
        body = _body(dice)
        signed = number % 2 == 0
        mac = hmac.new(SECRET.encode(), f"{STAMP}.".encode() + body, hashlib.sha256).hexdigest()
        given = mac if signed else mac[::-1]
        headers = {"X-Timestamp": STAMP} | ({"X-Signature": given} if dice.happens(90) else {})
        genuine = headers.get("X-Signature") == mac
        result = gateway.parse_webhook(
            WebhookRequest(method="POST", path="/x", headers=headers, body=body)
        )
        assert result.status == (200 if genuine else 401)
        assert genuine or result.events == ()
        for event in result.events:
            repr(event).encode("utf-8")
            seen[type(event).__name__] += 1

    gateway.close(drain_s=0)
    assert min(seen[name] for name in ("Receipt", "Inbound", "UssdInput")) > 1000
