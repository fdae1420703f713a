"""Requests to events: receipts, texts and steps of sessions, in JSON and in forms."""

import hashlib
import hmac
import json
from datetime import UTC, datetime
from urllib.parse import urlencode

import pytest

from gateway_adapters.contract import WebhookRequest, WebhookResult
from gateway_adapters.events import (
    Event,
    Inbound,
    LateAnswer,
    Part,
    Receipt,
    ReceiptState,
    Screen,
    UssdBegin,
    UssdEnd,
    UssdEndReason,
    UssdInput,
)
from gateway_adapters.http_form.documents import instant, phone
from gateway_adapters.http_form.table import Table
from gateway_adapters.http_form.ussd import screen_response
from gateway_adapters.http_form.webhook_settings import read_webhooks
from gateway_adapters.http_form.webhooks import WebhookSettings, read_request
from tests.outgoing import EVENING, PHONE

KEY = "sixteen letters or more"
STAMP = int(EVENING.timestamp())
RECEIPTS = {
    "path": "/receipts",
    "id": "/id",
    "to": "/to",
    "state": "/state",
    "code": "/code",
    "at": "/at",
    "states": {"Done": "delivered", "no": "failed"},
}
TEXTS = {"path": "/texts", "from": "/from", "to": "/to", "text": "/text"}
MENU = {"path": "/menu", "session": "/s", "phone": "/from", "code": "/code", "text": "/text"}
ANSWER = {"answer_format": "text", "answer": "$mark:$text"}


def _settings(**changes: object) -> WebhookSettings:
    faults: list[str] = []
    given = {"signing_key": KEY, "receipts": RECEIPTS, "texts": TEXTS, "ussd": MENU | ANSWER}
    settings = read_webhooks(Table(given | changes, where="webhooks", faults=faults))
    assert faults == []
    return settings


def _posted(path: str, body: bytes, settings: WebhookSettings, *, late_s: int = 0) -> WebhookResult:
    stamp = str(STAMP + late_s)
    mac = hmac.new(KEY.encode(), f"{stamp}.".encode() + body, hashlib.sha256).hexdigest()
    headers = {"X-Signature": mac, "X-Timestamp": stamp}
    request = WebhookRequest(method="POST", path=path, headers=headers, body=body)
    return read_request(settings, request, now=EVENING)


def _events(
    path: str, document: object, settings: WebhookSettings | None = None, *, late_s: int = 0
) -> tuple[Event, ...]:
    body = json.dumps(document).encode()
    return _posted(path, body, settings or _settings(), late_s=late_s).events


def test_a_receipt_is_read_where_the_settings_say() -> None:
    document = {
        "id": 17,
        "to": PHONE,
        "state": "DONE",
        "code": 5,
        "at": "2027-03-15T18:00:09+03:00",
    }
    (receipt,) = _events("/hooks/r1/receipts", document)

    assert isinstance(receipt, Receipt)
    assert receipt.event_id.startswith("receipt:")
    assert (receipt.gateway_id, receipt.to, receipt.code) == ("17", PHONE, "5")
    assert receipt.state is ReceiptState.DELIVERED
    assert receipt.at == datetime(2027, 3, 15, 15, 0, 9, tzinfo=UTC)


@pytest.mark.parametrize("document", [{}, {"id": None}, {"id": []}, {"state": "Done"}, [], 5, "x"])
def test_a_receipt_without_an_id_is_none(document: object) -> None:
    assert _events("/receipts", document) == ()


def test_a_list_holds_an_event_each_with_an_id_of_its_own() -> None:
    settings = _settings(receipts=RECEIPTS | {"each": "/all", "event_id": "/e"})
    document = {"all": [{"id": 1, "e": 9}, {"id": 1}, 7, {"id": 2}]}
    events = _events("/receipts", document, settings)
    again = _events("/receipts", document, settings, late_s=30)

    assert events[0].event_id == "receipt=9"
    assert len({event.event_id for event in events}) == 3
    assert again == events
    assert _events("/receipts", {"all": 5}, settings) == ()


def test_a_receipt_that_names_our_token_brings_the_answer_first() -> None:
    settings = _settings(receipts=RECEIPTS | {"token": "/ref"})
    late, receipt = _events("/receipts", {"id": 1, "ref": "m1", "state": "no"}, settings)

    assert late == LateAnswer(event_id="late:m1:1", token="m1", gateway_ids=("1",))  # noqa: S106 -- an id
    assert isinstance(receipt, Receipt)
    assert len(_events("/receipts", {"id": 1, "ref": "m 1", "state": "no"}, settings)) == 1


def test_a_form_is_read_like_a_document() -> None:
    body = urlencode({"from": PHONE, "to": "15050", "text": "A3 ŋ & more=1"}).encode()
    (inbound,) = _posted("/texts?x=1", body, _settings(body_format="form")).events

    assert isinstance(inbound, Inbound)
    assert (inbound.sender, inbound.to, inbound.text) == (PHONE, "15050", "A3 ŋ & more=1")
    assert (inbound.lossy, inbound.received_at) == (False, EVENING)


@pytest.mark.parametrize(
    ("body", "text"),
    [
        (b"from=%2B255100000001&text=A3+%FF", "A3 \ufffd"),
        (b"from=+255100000001&text=A3\xff", "A3\ufffd"),
        (b"from=%2B255100000001&text=A3%00", "A3\ufffd"),
    ],
)
def test_octets_that_cannot_be_read_leave_the_rest_of_a_text(body: bytes, text: str) -> None:
    (inbound,) = _posted("/texts", body, _settings(body_format="form")).events

    assert isinstance(inbound, Inbound)
    assert (inbound.sender, inbound.text, inbound.lossy) == (PHONE, text, True)


def test_half_a_pair_in_json_cannot_reach_the_database() -> None:
    (inbound,) = _posted("/texts", b'{"from": "15050", "text": "A3 \\ud800"}', _settings()).events

    assert isinstance(inbound, Inbound)
    assert (inbound.text, inbound.lossy) == ("A3 \ufffd", True)


def test_an_empty_text_is_a_text_and_a_missing_one_is_none() -> None:
    assert len(_events("/texts", {"from": PHONE, "text": ""})) == 1
    assert _events("/texts", {"from": PHONE}) == ()
    assert _events("/texts", {"from": "", "text": "A3"}) == ()


@pytest.mark.parametrize(
    ("values", "part"),
    [
        ((7, 1, 2), Part(reference=7, number=1, total=2)),
        (("7", "2", "2"), Part(reference=7, number=2, total=2)),
        ((7, 1, 1), None),
        ((7, 0, 2), None),
        ((7, 3, 2), None),
        ((7, 1, 256), None),
        ((None, 1, 2), None),
        (("x", 1, 2), None),
    ],
)
def test_a_piece_of_a_long_text_says_which(values: tuple[object, ...], part: Part | None) -> None:
    pointers = {"reference": "/r", "number": "/n", "total": "/t"}
    settings = _settings(texts=TEXTS | {"part": pointers})
    document = {"from": PHONE, "text": "A3", **dict(zip("rnt", values, strict=True))}
    (inbound,) = _events("/texts", document, settings)

    assert isinstance(inbound, Inbound)
    assert inbound.part == part


@pytest.mark.parametrize("path", ["/", "/receipts/x", "/receipt", "", "/TEXTS"])
def test_a_request_of_no_known_kind_is_taken_and_says_nothing(path: str) -> None:
    result = _posted(path, b'{"id": 1, "from": "a", "text": "b", "s": 1}', _settings())

    assert (result.status, result.events) == (200, ())


def test_the_answer_is_the_one_of_the_settings() -> None:
    result = _posted("/receipts", b"{", _settings(status=202, body="taken"))

    assert (result.status, result.body, result.events) == (202, b"taken", ())


@pytest.mark.parametrize(
    ("said", "digits_only", "number"),
    [
        (PHONE, False, PHONE),
        (f" {PHONE} ", False, PHONE),
        (" 255100000001", False, PHONE),
        ("255100000001", True, PHONE),
        ("255100000001", False, "255100000001"),
        ("0100000001", True, "0100000001"),
        ("15050", True, "15050"),
        ("MTANDAO", True, "MTANDAO"),
        ("\u0662\u0665\u0665100000001", True, "\u0662\u0665\u0665100000001"),
        ("", True, ""),
    ],
)
def test_a_number_is_made_e164_only_where_that_is_sure(
    said: str,
    digits_only: bool,  # noqa: FBT001 -- a column
    number: str,
) -> None:
    """ITU-T E.164: at most 15 digits; short codes stay as they are."""
    assert phone(said, digits_only=digits_only) == number


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("2027-03-16T18:05:09+03:00", datetime(2027, 3, 16, 15, 5, 9, tzinfo=UTC)),
        ("2027-03-16T15:05:09Z", datetime(2027, 3, 16, 15, 5, 9, tzinfo=UTC)),
        ("1805209509", datetime(2027, 3, 16, 15, 5, 9, tzinfo=UTC)),
        ("1805209509000", datetime(2027, 3, 16, 15, 5, 9, tzinfo=UTC)),
        ("2027-03-16T18:05:09", EVENING),
        ("99999999999999", datetime(5138, 11, 16, 9, 46, 39, tzinfo=UTC)),
        ("yesterday", EVENING),
        ("", EVENING),
    ],
)
def test_an_instant_without_a_zone_is_not_guessed(text: str, at: datetime) -> None:
    assert instant(text, otherwise=EVENING) == at


def _menu(**changes: object) -> WebhookSettings:
    return _settings(ussd=MENU | ANSWER | changes)


def test_without_a_word_for_the_step_the_first_empty_one_begins() -> None:
    begin = _events("/menu", {"s": "x", "from": PHONE, "code": "*150#", "text": ""})
    go_on = _events("/menu", {"s": "x", "from": PHONE, "code": "*150#", "text": "2"})

    assert isinstance(begin[0], UssdBegin)
    assert (begin[0].session, begin[0].phone, begin[0].code) == ("x", PHONE, "*150#")
    assert isinstance(go_on[0], UssdInput)
    assert go_on[0].text == "2"


def test_where_all_inputs_are_sent_joined_the_last_counts() -> None:
    (event,) = _events("/menu", {"s": "x", "from": PHONE, "text": "2*1*3"}, _menu(joined_by="*"))

    assert isinstance(event, UssdInput)
    assert event.text == "3"


def test_a_word_says_which_step_it_is() -> None:
    settings = _menu(step="/k", begin=["1"], input=["2"], end={"3": "network"})
    kinds = [
        _events("/menu", {"s": 1, "from": PHONE, "text": "*2*3", "k": step}, settings)
        for step in (1, 2, 3, 4, None)
    ]

    assert [type(events[0]) for events in kinds[:3]] == [UssdBegin, UssdInput, UssdEnd]
    assert isinstance(kinds[0][0], UssdBegin)
    assert kinds[0][0].text == "*2*3"
    assert isinstance(kinds[2][0], UssdEnd)
    assert kinds[2][0].reason is UssdEndReason.NETWORK
    assert kinds[3:] == [(), ()]


def test_two_equal_inputs_are_two_steps_and_a_replay_is_not() -> None:
    document = {"s": "x", "from": PHONE, "text": "1"}
    ids = [_events("/menu", document, late_s=late_s)[0].event_id for late_s in (0, 4, 4)]

    assert ids[0] != ids[1]
    assert ids[1] == ids[2]


@pytest.mark.parametrize(
    ("changes", "body", "content_type"),
    [
        ({}, b'more:1. "A" & B', "text/plain; charset=utf-8"),
        (
            {"answer_format": "json", "answer": {"t": "$text", "m": "$mark", "id": "$session"}},
            b'{"t": "1. \\"A\\" & B", "m": "more", "id": "x"}',
            "application/json",
        ),
        (
            {"answer_format": "form", "answer": {"t": "$text", "m": "$mark"}},
            b"t=1.+%22A%22+%26+B&m=more",
            "application/x-www-form-urlencoded",
        ),
    ],
)
def test_a_screen_is_written_as_the_settings_say(
    changes: dict[str, object], body: bytes, content_type: str
) -> None:
    settings = _menu(continue_mark="more", end_mark="over", **changes)
    assert settings.ussd_answers is not None
    screen = Screen(text='1. "A" & B', finish=False)

    result = screen_response(settings.ussd_answers, "x", screen)

    assert (result.status, result.body, result.content_type) == (200, body, content_type)
