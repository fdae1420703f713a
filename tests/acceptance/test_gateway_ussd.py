"""USSD on every gateway whose far end can dial: one screen a step, and what is late is gone."""

import hashlib
import hmac
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from gateway_adapters import registry
from gateway_adapters.contract import Gateway, WebhookRequest
from gateway_adapters.events import (
    Screen,
    UssdBegin,
    UssdEnd,
    UssdEndReason,
    UssdEvent,
    UssdInput,
)
from gateway_adapters.fake import FakeGateway
from gateway_adapters.http_form.opening import open_http_form
from tests.gateways.http_form_line import SECRET, settings_for, webhook_settings
from tests.outgoing import EVENING, PHONE, StoppedClock

MENU: dict[str, object] = {
    "when": {"at": "/type", "equals": "menu"},
    "session": "/session",
    "phone": "/from",
    "text": "/text",
    "step": "/step",
    "begin": ["opens"],
    "input": ["goes on"],
    "answer": {"shown": "$text", "mark": "$mark"},
}
FIRST, SECOND = Screen(text="1 Plots\n9 Exit", finish=False), Screen(text="Bye.", finish=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialler:
    """An open gateway and a handset at its far end; `shown` are the screens that it was shown."""

    gateway: Gateway
    dial: Callable[[str, str], object]
    press: Callable[[str, str], object]
    hang_up: Callable[[str, UssdEndReason], object]
    shown: Callable[[str], list[Screen]]
    restart: Callable[[], Gateway]


@pytest.fixture
def dialler(tmp_path: Path) -> Dialler:
    """The fake gateway on a folder, its handset in another process's place."""

    def restart() -> Gateway:
        return registry.open_gateway("fake", {"folder": str(tmp_path)}, StoppedClock())

    far = FakeGateway(clock=StoppedClock(), folder=tmp_path).handsets

    def shown(phone: str) -> list[Screen]:
        dialled = far.on(phone)
        return [] if dialled is None else list(dialled.screens)

    return Dialler(
        gateway=restart(),
        dial=lambda phone, text: far.dial(phone, text=text),
        press=far.press,
        hang_up=lambda phone, reason: far.hang_up(phone, reason=reason),
        shown=shown,
        restart=restart,
    )


def steps(gateway: Gateway) -> list[UssdEvent]:
    """Return the USSD events that are due, all acknowledged."""
    events = gateway.receive(wait_s=0.0, limit=100)
    for event in events:
        gateway.ack(event)
    return [event for event in events if isinstance(event, UssdBegin | UssdInput | UssdEnd)]


def test_a_gateway_that_declares_menus_has_them(dialler: Dialler) -> None:
    """C18, C21: The capability is declared."""
    assert dialler.gateway.capabilities.ussd


def test_a_session_begins_takes_inputs_and_ends(dialler: Dialler) -> None:
    """C21: Dialled with a path, one input, a last screen."""
    dialler.dial(PHONE, "1*2")
    (begin,) = steps(dialler.gateway)
    assert isinstance(begin, UssdBegin)
    assert (begin.phone, begin.text) == (PHONE, "1*2")
    assert not dialler.gateway.answer_ussd(begin.session, FIRST).gone

    dialler.press(PHONE, "1")
    (typed,) = steps(dialler.gateway)
    assert isinstance(typed, UssdInput)
    assert (typed.session, typed.phone, typed.text) == (begin.session, PHONE, "1")
    assert not dialler.gateway.answer_ussd(begin.session, SECOND).gone

    assert dialler.shown(PHONE) == [FIRST, SECOND]
    assert len({begin.event_id, typed.event_id}) == 2


@pytest.mark.parametrize("reason", UssdEndReason)
def test_the_end_tells_why(reason: UssdEndReason, dialler: Dialler) -> None:
    """C21: Each reason of an end."""
    dialler.dial(PHONE, "")
    (begin,) = steps(dialler.gateway)

    dialler.hang_up(PHONE, reason)

    (end,) = steps(dialler.gateway)
    assert isinstance(end, UssdEnd)
    assert (end.session, end.reason) == (begin.session, reason)


def test_a_step_is_answered_once(dialler: Dialler) -> None:
    """C21: A second screen for the same step is gone."""
    dialler.dial(PHONE, "")
    (begin,) = steps(dialler.gateway)
    dialler.gateway.answer_ussd(begin.session, FIRST)

    assert dialler.gateway.answer_ussd(begin.session, SECOND).gone
    assert dialler.shown(PHONE) == [FIRST]


def test_an_answer_after_the_end_is_gone(dialler: Dialler) -> None:
    """C21: The phone has hung up."""
    dialler.dial(PHONE, "")
    (begin,) = steps(dialler.gateway)
    dialler.hang_up(PHONE, UssdEndReason.TIMEOUT)

    assert dialler.gateway.answer_ussd(begin.session, FIRST).gone
    assert dialler.shown(PHONE) == []


def test_an_answer_after_a_finish_is_gone(dialler: Dialler) -> None:
    """C21: The session was finished by us."""
    dialler.dial(PHONE, "")
    (begin,) = steps(dialler.gateway)
    dialler.gateway.answer_ussd(begin.session, SECOND)

    assert dialler.gateway.answer_ussd(begin.session, FIRST).gone


def test_a_session_that_never_was_is_gone(dialler: Dialler) -> None:
    """C21: Nobody dialled."""
    assert dialler.gateway.answer_ussd("nobody", FIRST).gone


def test_after_closing_every_answer_is_gone(dialler: Dialler) -> None:
    """C14, C21: The gateway is closed."""
    dialler.dial(PHONE, "")
    (begin,) = steps(dialler.gateway)
    dialler.gateway.close(drain_s=0.0)

    assert dialler.gateway.answer_ussd(begin.session, FIRST).gone


def test_a_step_that_was_not_acknowledged_comes_again_after_a_crash(dialler: Dialler) -> None:
    """C21: Not acknowledged, not lost."""
    dialler.dial(PHONE, "")
    first = dialler.gateway.receive(wait_s=0.0, limit=10)

    again = dialler.restart()

    assert again.receive(wait_s=0.0, limit=10) == first
    (begin,) = first
    assert isinstance(begin, UssdBegin)
    assert not again.answer_ussd(begin.session, FIRST).gone
    assert dialler.shown(PHONE) == [FIRST]


def test_a_screen_that_no_phone_can_show_is_refused_and_a_shorter_one_goes() -> None:
    """C21: 182 septets (3GPP TS 23.038); an extended character takes two."""
    gateway = open_http_form(settings_for(9, webhooks=webhook_settings(ussd=MENU)), StoppedClock())
    body = json.dumps({"type": "menu", "session": "s1", "from": PHONE, "text": "", "step": "opens"})
    stamp = str(int(EVENING.timestamp()))
    mac = hmac.new(SECRET.encode(), f"{stamp}.{body}".encode(), hashlib.sha256).hexdigest()
    result = gateway.parse_webhook(
        WebhookRequest(
            method="POST",
            path="/x",
            headers={"X-Timestamp": stamp, "X-Signature": mac},
            body=body.encode(),
        )
    )
    (begin,) = result.events
    assert isinstance(begin, UssdBegin)

    with pytest.raises(ValueError, match="page it"):
        gateway.answer_ussd(begin.session, Screen(text="€" * 92, finish=False))
    assert not gateway.answer_ussd(begin.session, Screen(text="€" * 91, finish=False)).gone
    gateway.close(drain_s=0)
