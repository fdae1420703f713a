"""What the peer posts to us: forged, stale, repeated, early, strange; and the screens of USSD."""

import json
from collections.abc import Iterator, Mapping

import pytest

from gateway_adapters.contract import Ambiguous, Gateway, WebhookRequest, WebhookResult
from gateway_adapters.events import (
    Event,
    Inbound,
    LateAnswer,
    Receipt,
    ReceiptState,
    Screen,
    UssdBegin,
    UssdEnd,
    UssdEndReason,
    UssdInput,
)
from service.clock import system_clock
from tests.gateways.http_form_line import (
    API_KEY,
    SECRET,
    opened,
    send,
    settings_for,
    webhook_settings,
)
from tests.gateways.peers.driver import Peer, http_service
from tests.gateways.webhook_inlet import serving
from tests.outgoing import EVENING, PHONE

SESSION_SETTINGS: dict[str, object] = {
    "when": {"at": "/type", "equals": "menu"},
    "session": "/session",
    "phone": "/from",
    "code": "/code",
    "text": "/text",
    "step": "/step",
    "begin": ["opens"],
    "input": ["goes on"],
    "end": {"hung up": "user", "slow": "timeout"},
    "answer": {"shown": "$text", "last": "$mark", "session": "$session"},
    "continue_mark": False,
    "end_mark": True,
}


class Desk:
    """Stores what comes in, as the service would: once an event id; and shows screens."""

    def __init__(self, gateway: Gateway) -> None:
        self.stored: dict[str, Event] = {}
        self.seen: list[Event] = []
        self.screens = True
        self._gateway = gateway

    def handle(self, request: WebhookRequest) -> WebhookResult:
        """Store the events; return the answer to give."""
        result = self._gateway.parse_webhook(request)
        for event in result.events:
            self.seen.append(event)
            self.stored.setdefault(event.event_id, event)
            if self.screens and isinstance(event, UssdBegin | UssdInput):
                screen = Screen(text=f'1."Shamba"\n{event.text}', finish=event.text == "0")
                shown = self._gateway.answer_ussd(event.session, screen)
                return shown.response or result
        return result


class Post:
    """Lets the peer post to a desk, and gives what it was answered."""

    def __init__(self, peer: Peer, url: str, desk: Desk, gateway: Gateway) -> None:
        self.peer = peer
        self.gateway = gateway
        self.desk = desk
        self._url = url

    def __call__(
        self, body: object, *, times: int = 1, how: Mapping[str, object] | None = None
    ) -> list[object]:
        """Post a document, or a text as it is; return the statuses."""
        before = len(self.peer.heard("posted"))
        text = body if isinstance(body, str) else json.dumps(body)
        age_s = round((system_clock() - EVENING).total_seconds())
        told = {"act": "post", "url": self._url, "body": text, "times": times, "ageS": age_s}
        self.peer.tell(**(told | dict(how or {})))
        posted = self.peer.wait_for("posted", count=before + times)[before:]
        return [answer.get("status") for answer in posted]

    @property
    def last_body(self) -> str:
        """What the last post was answered."""
        return str(self.peer.heard("posted")[-1]["body"])


@pytest.fixture
def post() -> Iterator[Post]:
    settings = webhook_settings(ussd=SESSION_SETTINGS)
    with (
        http_service(key=API_KEY, secret=SECRET) as (peer, port),
        opened(settings_for(port, webhooks=settings)) as gateway,
    ):
        desk = Desk(gateway)
        with serving(desk.handle) as url:
            yield Post(peer, url, desk, gateway)


def _receipt(**changes: object) -> dict[str, object]:
    return {"type": "receipt", "event": 1, "id": "1001", "to": PHONE, "state": "done"} | changes


def _text(**changes: object) -> dict[str, object]:
    return {"type": "text", "event": 7, "from": PHONE, "to": "15050", "text": "A3"} | changes


@pytest.mark.parametrize(
    "how", [{"tamper": " "}, {"sign": False}], ids=["a blank behind", "no signature"]
)
def test_a_forged_post_is_refused_without_a_word(post: Post, how: dict[str, object]) -> None:
    """Fault: forged webhook (post tamper, sign false)."""
    assert post(_text(), how=how) == [401]
    assert post.last_body == ""
    assert post.desk.seen == []


def test_a_post_under_another_key_is_refused(post: Post) -> None:
    """Fault: forged webhook (another secret)."""
    post.peer.tell(secret="another one, of 16 or more")  # noqa: S106 -- invented here

    assert post(_text()) == [401]
    assert post.desk.seen == []


@pytest.mark.parametrize("age_s", [900, -900])
def test_a_stale_post_is_refused(post: Post, age_s: int) -> None:
    """Fault: stale webhook (ageS 900), and one from the future."""
    since_s = round((system_clock() - EVENING).total_seconds())

    assert post(_text(), how={"ageS": since_s + age_s}) == [401]
    assert post.desk.seen == []


@pytest.mark.parametrize("body", [_text(), _receipt(), _text(event=None), _receipt(event=None)])
def test_a_replayed_post_is_answered_alike_and_has_one_effect(
    post: Post, body: dict[str, object]
) -> None:
    """Fault: replayed webhook, duplicate receipts (post times 2), with and without an own id."""
    assert post(body, times=3) == [200, 200, 200]
    assert len(post.desk.seen) == 3
    assert len(post.desk.stored) == 1


def test_ten_megabytes_are_refused(post: Post) -> None:
    """Fault: huge (10 MB webhook)."""
    assert post("x" * 10_000_000) == [413]
    assert post.desk.seen == []


def test_what_is_signed_but_unreadable_is_taken_and_says_nothing(post: Post) -> None:
    assert [post(body) for body in ("", "{", "[1, 2]", '"A3"', "x=1")] == [[200]] * 5
    assert post.desk.seen == []


def test_receipts_say_what_the_table_says(post: Post) -> None:
    """Faults: interim, failed, expired, and a state that nobody listed (act post)."""
    said = ("sent", "DONE", "no", "old", "strange")
    for number, state in enumerate(said):
        post(_receipt(event=number, state=state))

    assert [event.state for event in post.desk.seen if isinstance(event, Receipt)] == [
        ReceiptState.SUBMITTED,
        ReceiptState.DELIVERED,
        ReceiptState.FAILED,
        ReceiptState.EXPIRED,
        ReceiptState.UNKNOWN,
    ]


def test_an_id_that_is_a_number_matches_the_text_that_the_answer_gave(post: Post) -> None:
    """Fault: other id form (a number instead of a string); a receipt for an unknown id."""
    assert post(_receipt(id=1001)) == [200]

    (receipt,) = post.desk.seen
    assert isinstance(receipt, Receipt)
    assert (receipt.gateway_id, receipt.to) == ("1001", PHONE)


def test_a_text_keeps_its_letters(post: Post) -> None:
    post(_text(text="ŋ ነገ 🌱\n\u2018A3\u2019 ", **{"from": "MTANDAO"}))

    (inbound,) = post.desk.seen
    assert isinstance(inbound, Inbound)
    assert (inbound.text, inbound.sender, inbound.lossy) == (
        "ŋ ነገ 🌱\n\u2018A3\u2019 ",
        "MTANDAO",
        False,
    )


def test_a_receipt_that_names_our_token_clears_up_a_text_whose_answer_was_lost() -> None:
    """Faults: cut after the gateway took it, then the receipt; and a receipt before the answer."""
    settings = webhook_settings()
    receipts = settings["receipts"]
    assert isinstance(receipts, dict)
    settings["receipts"] = receipts | {"token": "/token"}
    with (
        http_service(key=API_KEY, secret=SECRET, dropNext=1) as (peer, port),
        opened(settings_for(port, webhooks=settings)) as gateway,
    ):
        (outcome,) = send(gateway, "m1")
        (message,) = peer.heard("submit")
        desk = Desk(gateway)
        with serving(desk.handle) as url:
            named = _receipt(id=message["id"]) | {"token": "m1"}
            Post(peer, url, desk, gateway)(named, times=2)

    assert isinstance(outcome, Ambiguous)
    answer, receipt = desk.stored.values()
    assert isinstance(answer, LateAnswer)
    assert (answer.token, answer.gateway_ids) == ("m1", (str(message["id"]),))
    assert isinstance(receipt, Receipt)
    assert receipt.state is ReceiptState.DELIVERED


def _step(step: str, text: str = "", **changes: object) -> dict[str, object]:
    whole = {"type": "menu", "session": 55, "from": PHONE, "code": "*150#", "step": step}
    return whole | {"text": text} | changes


def test_a_session_is_begun_gone_on_with_and_finished(post: Post) -> None:
    """The session's steps, each shown a screen in its own answer."""
    screens = []
    for step in (_step("opens"), _step("goes on", "2"), _step("goes on", "0")):
        post(step)
        screens.append(json.loads(post.last_body))

    assert screens == [
        {"shown": '1."Shamba"\n', "last": False, "session": "55"},
        {"shown": '1."Shamba"\n2', "last": False, "session": "55"},
        {"shown": '1."Shamba"\n0', "last": True, "session": "55"},
    ]
    assert [type(event) for event in post.desk.seen] == [UssdBegin, UssdInput, UssdInput]


def test_a_step_that_comes_again_is_shown_nothing(post: Post) -> None:
    """Exactly once for each begin and input."""
    statuses = post(_step("opens"), times=2)

    assert statuses == [200, 200]
    bodies = sorted(str(answer["body"]) for answer in post.peer.heard("posted"))
    assert bodies[0] == ""
    assert json.loads(bodies[1])["last"] is False
    assert len(post.desk.stored) == 1


def test_an_ended_session_is_gone(post: Post) -> None:
    post(_step("opens"))
    post(_step("slow", event="e"))

    assert isinstance(post.desk.seen[-1], UssdEnd)
    assert post.desk.seen[-1].reason is UssdEndReason.TIMEOUT
    assert post.last_body == ""


def test_a_screen_for_nobody_is_gone_and_does_not_raise(post: Post) -> None:
    """A late answer is gone; so is one of a session that nobody opened."""
    screen = Screen(text="1.Mahindi A", finish=False)
    post(_step("opens"))

    assert post.gateway.answer_ussd("55", screen).gone
    assert post.gateway.answer_ussd("56", screen).gone


def test_a_screen_that_no_phone_can_show_is_refused_and_a_shorter_one_still_goes(
    post: Post,
) -> None:
    """3GPP TS 23.038: 182 septets; extension characters take two."""
    post.desk.screens = False
    post(_step("opens"))

    with pytest.raises(ValueError, match="page it"):
        post.gateway.answer_ussd("55", Screen(text="€" * 92, finish=False))
    shown = post.gateway.answer_ussd("55", Screen(text="€" * 91, finish=False))

    assert not shown.gone
