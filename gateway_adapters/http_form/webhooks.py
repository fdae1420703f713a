"""A request that the gateway made to us: the door, the document, the events, the answer. Pure."""

import hashlib
from dataclasses import dataclass, replace
from datetime import datetime

from gateway_adapters.contract import WebhookRequest, WebhookResult
from gateway_adapters.events import Event
from gateway_adapters.http_form.documents import read_document
from gateway_adapters.http_form.door import Door, refusal_status, single_headers
from gateway_adapters.http_form.incoming import (
    Knock,
    ReceiptRules,
    TextRules,
    receipt_events,
    text_events,
)
from gateway_adapters.http_form.pointer import UnreadableError
from gateway_adapters.http_form.ussd import UssdAnswers, UssdRules, ussd_events


@dataclass(frozen=True, slots=True, kw_only=True)
class WebhookSettings:
    """How requests are let in, read and answered."""

    door: Door
    form: bool
    digits_only: bool
    status: int
    body: bytes
    receipts: ReceiptRules | None
    texts: TextRules | None
    ussd: UssdRules | None
    ussd_answers: UssdAnswers | None


def read_request(
    settings: WebhookSettings, request: WebhookRequest, *, now: datetime
) -> WebhookResult:
    """Return the events in a request and its answer.

    A request that may not come in is refused without a word. One that may, but cannot be read,
    gets the same answer as any other and has no events: whoever calls has stored it.
    """
    refused = refusal_status(settings.door, request, now=now)
    if refused is not None:
        return WebhookResult(status=refused)
    return WebhookResult(
        status=settings.status, body=settings.body, events=_events(settings, request, now=now)
    )


def _events(
    settings: WebhookSettings, request: WebhookRequest, *, now: datetime
) -> tuple[Event, ...]:
    try:
        document = read_document(request.body, form=settings.form)
    except UnreadableError:
        return ()
    knock = Knock(
        body_hash=hashlib.sha256(request.body).hexdigest(),
        now=now,
        digits_only=settings.digits_only,
    )
    path = request.path
    if (rules := settings.receipts) and (
        items := rules.place.items(document, path=path)
    ) is not None:
        return tuple(
            event
            for number, item in enumerate(items)
            for event in receipt_events(item, rules, knock, number=number)
        )
    if (texts := settings.texts) and (items := texts.place.items(document, path=path)) is not None:
        return tuple(
            event
            for number, item in enumerate(items)
            for event in text_events(item, texts, knock, number=number)
        )
    ussd = settings.ussd
    if ussd is None or ussd.place.items(document, path=path) is None:
        return ()
    # Two equal inputs are two steps: their time of signing tells them apart, and a replay not.
    stamped = replace(knock, body_hash=_stamped_hash(settings.door, request))
    return tuple(ussd_events(document, ussd, stamped, number=0))


def _stamped_hash(door: Door, request: WebhookRequest) -> str:
    name = "" if door.signature is None else door.signature.timestamp_header
    stamp = single_headers(request.headers).get(name, "").strip()
    return hashlib.sha256(stamp.encode("utf-8") + b"." + request.body).hexdigest()
