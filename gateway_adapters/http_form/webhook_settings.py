"""The settings of what the gateway sends to us."""

from collections.abc import Mapping
from dataclasses import replace
from ipaddress import IPv4Network, IPv6Network, ip_network

from gateway_adapters.events import ReceiptState, UssdEndReason
from gateway_adapters.http_form import body, pointer
from gateway_adapters.http_form.documents import Condition, Place
from gateway_adapters.http_form.door import Door, SharedSecret, Signature
from gateway_adapters.http_form.incoming import ReceiptRules, TextRules
from gateway_adapters.http_form.table import Table
from gateway_adapters.http_form.ussd import FIELDS, UssdAnswers, UssdRules
from gateway_adapters.http_form.webhooks import WebhookSettings

SHORTEST_SECRET = 16  # 128 bits at least, if it is random octets

_MARKS = {"continue_mark": "continue", "end_mark": "end"}


def read_webhooks(table: Table) -> WebhookSettings:
    """Take the settings of webhooks; faults are kept in the table."""
    door = _door(table)
    form = table.choice("body_format", ("json", "form"), "json") == "form"
    receipts = _receipts(table.table("receipts")) if "receipts" in table else None
    texts = _texts(table.table("texts")) if "texts" in table else None
    ussd = answers = None
    if "ussd" in table:
        steps = table.table("ussd")
        ussd, answers = _ussd(steps), _ussd_answers(steps)
        if ussd.event_id is None and door.signature is None:
            steps.fault("event_id", "is missing; without it or a signature equal inputs are one")
        steps.finish()
    settings = WebhookSettings(
        door=door,
        form=form,
        digits_only=table.choice("numbers", ("e164", "digits"), "e164") == "digits",
        status=table.whole("status", 200, least=200, most=299),
        body=table.text("body", "").encode("utf-8"),
        receipts=receipts,
        texts=texts,
        ussd=ussd,
        ussd_answers=answers,
    )
    table.finish()
    return settings


def _door(table: Table) -> Door:
    keys = _secrets(table, "signing_key")
    secrets = _secrets(table, "secret")
    signature = Signature(
        keys=keys,
        header=table.text("signature_header", "x-signature").lower(),
        timestamp_header=table.text("timestamp_header", "x-timestamp").lower(),
        prefix=table.text("signature_prefix", ""),
        base64=table.choice("signature_encoding", ("hex", "base64"), "hex") == "base64",
    )
    shared = SharedSecret(secrets=secrets, header=table.text("secret_header", "x-secret").lower())
    if not keys and not secrets:
        table.fault("signing_key", "or 'secret' must be set: an open door lets anybody in")
    return Door(
        method=table.choice("method", ("POST", "PUT"), "POST"),
        signature=signature if keys else None,
        shared=shared if secrets else None,
        sources=_networks(table, "sources"),
    )


def _secrets(table: Table, key: str) -> tuple[bytes, ...]:
    """Take the secret and the one that it replaces."""
    found = [secret for secret in (table.secret(key), table.secret(f"old_{key}")) if secret]
    if any(len(secret) < SHORTEST_SECRET for secret in found):
        table.fault(key, f"must be {SHORTEST_SECRET} characters long or more")
    return tuple(secret.encode("utf-8") for secret in found)


def _networks(table: Table, key: str) -> tuple[IPv4Network | IPv6Network, ...]:
    networks = []
    for text in table.texts(key):
        try:
            networks.append(ip_network(text))
        except ValueError:
            table.fault(key, "must be a list of addresses or networks, such as 192.0.2.0/24")
    return tuple(networks)


def _receipts(table: Table) -> ReceiptRules:
    given = table.table("states")
    states: dict[str, ReceiptState] = {}
    for said, ours in given.rest().items():
        if isinstance(ours, str) and ours in set(ReceiptState):
            states[said.casefold()] = ReceiptState(ours)
        else:
            given.fault(said, f"must be one of: {', '.join(ReceiptState)}")
    if not states:
        given.fault("", "is missing; it says what each state of the gateway means")
    rules = ReceiptRules(
        place=_places(table),
        event_id=table.pointer("event_id"),
        gateway_id=table.needed_pointer("id"),
        to=table.pointer("to"),
        state=table.needed_pointer("state"),
        code=table.pointer("code"),
        at=table.pointer("at"),
        token=table.pointer("token"),
        states=states,
    )
    table.finish()
    return rules


def _texts(table: Table) -> TextRules:
    part = None
    if "part" in table:
        pieces = table.table("part")
        part = (
            pieces.needed_pointer("reference"),
            pieces.needed_pointer("number"),
            pieces.needed_pointer("total"),
        )
        pieces.finish()
    rules = TextRules(
        place=_places(table),
        event_id=table.pointer("event_id"),
        sender=table.needed_pointer("from"),
        to=table.pointer("to"),
        text=table.needed_pointer("text"),
        part=part,
    )
    table.finish()
    return rules


def _ussd(table: Table) -> UssdRules:
    given = table.table("end")
    ends: dict[str, UssdEndReason] = {}
    for said, reason in given.rest().items():
        if isinstance(reason, str) and reason in set(UssdEndReason):
            ends[said] = UssdEndReason(reason)
        else:
            given.fault(said, f"must be one of: {', '.join(UssdEndReason)}")
    step = table.pointer("step")
    begin, go_on = frozenset(table.texts("begin")), frozenset(table.texts("input"))
    if step is not None and not (begin and go_on):
        table.fault("begin", "and 'input' must say what 'step' holds for each")
    if step is None and (begin or go_on or ends):
        table.fault("step", "is missing, so no kind of step could be found")
    return UssdRules(
        place=_place(table),
        event_id=table.pointer("event_id"),
        session=table.needed_pointer("session"),
        phone=table.needed_pointer("phone"),
        code=table.pointer("code"),
        text=table.needed_pointer("text"),
        step=step,
        begin=begin,
        go_on=go_on,
        ends=ends,
        joined_by=table.text("joined_by", "") or None,
    )


def _ussd_answers(table: Table) -> UssdAnswers:
    wire = table.choice("answer_format", ("text", "form", "json"), "json")
    template = table.raw("answer")
    if wire == "text" and not isinstance(template, str):
        table.fault("answer", 'must be a text such as "$mark $text"')
    elif not isinstance(template, str | Mapping):
        table.fault("answer", 'must be a table such as text = "$text", more = "$mark"')
    faults = body.template_faults(template, fields=FIELDS, form=wire == "form")
    for fault in faults:
        table.fault("answer", fault)
    if not faults and not {"text", "mark"} <= body.used_fields(template):
        table.fault("answer", "must hold $text and $mark")
    marks = {key: _mark(table, key, otherwise) for key, otherwise in _MARKS.items()}
    if marks["continue_mark"] == marks["end_mark"]:
        table.fault("end_mark", "must differ from 'continue_mark'")
    return UssdAnswers(
        format=wire,
        template=template,
        continue_mark=marks["continue_mark"],
        end_mark=marks["end_mark"],
    )


def _mark(table: Table, key: str, otherwise: str) -> str | int | bool:
    value = table.raw(key, otherwise)
    if isinstance(value, str | int):
        return value
    table.fault(key, "must be a text, a whole number, or true or false")
    return otherwise


def _place(table: Table) -> Place:
    when = None
    if "when" in table:
        given = table.table("when")
        at, equals = given.needed_pointer("at"), pointer.scalar_text(given.raw("equals"))
        if equals is None:
            given.fault("equals", "must be a text, a number, or true or false")
        when = Condition(at=at, equals=equals or "")
        given.finish()
    return Place(path_end=table.text("path", ""), when=when)


def _places(table: Table) -> Place:
    """Take a place that may hold a list."""
    return replace(_place(table), each=table.pointer("each"))
