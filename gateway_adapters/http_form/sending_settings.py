"""The settings of sending: where, what, and how answers are read."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from gateway_adapters.contract import Encoding, RejectKind, Scope
from gateway_adapters.http_form import body, pointer
from gateway_adapters.http_form.answers import AnswerRules, Refusal
from gateway_adapters.http_form.body import Body
from gateway_adapters.http_form.table import Table
from gateway_adapters.http_form.target import Target, TargetError, parse_target

LONGEST_TOTAL_S = 30.0

_NAME = re.compile(r"[!#$%&'*+.^_`|~0-9A-Za-z-]+")  # a token of RFC 9110, 5.6.2
_VALUE = re.compile(r"[!-~]([ -~]*[!-~])?")
_OURS = frozenset({"host", "content-length", "content-type", "transfer-encoding", "connection"})
_SUCCESS = tuple(range(200, 300))
_NOWHERE = Target(scheme="https", host="", port=443, path="/")


@dataclass(frozen=True, slots=True, kw_only=True)
class SendingSettings:
    """Everything that sending needs. Headers may be secret, so no `repr` shows them."""

    method: str
    target: Target
    allow_private: bool
    ca_file: Path | None
    headers: tuple[tuple[str, str], ...] = field(repr=False)
    body: Body
    rules: AnswerRules
    batch_size: int
    idempotency_header: str | None
    idempotent_submit: bool
    digits_only: bool
    validity: str
    connect_s: float
    read_s: float
    total_s: float
    window: int
    rate_per_s: float
    encodings: frozenset[Encoding]
    max_segments: int


def read_sending(table: Table) -> SendingSettings:
    """Take the settings of sending; faults are kept in the table."""
    allow_private = table.switch("allow_private")
    target = _target(table, allow_private=allow_private)
    method = table.choice("method", ("POST", "PUT", "GET"), "POST")
    form = table.choice("body_format", ("form", "json"), "json") == "form"
    if method == "GET" and not form:
        table.fault("method", 'can be GET only with body_format = "form"')
    batch = table.table("batch")
    size = batch.whole("size", 1, least=1, most=1000)
    template = _template(table, form=form)
    sent = Body(form=form, template=template, key=batch.text("key", "") or None)
    list_at = batch.pointer("answers")
    batch.finish()
    if size > 1 and form:
        table.fault("batch.size", "must be 1 for a form; several messages need JSON")
    header = table.text("idempotency_header", "").lower() or None
    idempotent = table.switch("idempotent_submit")
    if idempotent and (header is None or size > 1):
        table.fault("idempotent_submit", "needs 'idempotency_header' and batches of 1")
    return SendingSettings(
        method=method,
        target=target,
        allow_private=allow_private,
        ca_file=_file(table, "ca_file"),
        headers=_headers(table, also=header),
        body=sent,
        rules=_rules(table, list_at=list_at, keyed=header is not None and size == 1),
        batch_size=size,
        idempotency_header=header,
        idempotent_submit=idempotent,
        digits_only=table.choice("numbers", ("e164", "digits"), "e164") == "digits",
        validity=table.choice(
            "valid_until", ("instant", "unix", "seconds-left", "minutes-left"), "instant"
        ),
        connect_s=table.number("connect_s", 10.0, least=0.05, most=LONGEST_TOTAL_S),
        read_s=table.number("read_s", 20.0, least=0.05, most=LONGEST_TOTAL_S),
        total_s=table.number("total_s", LONGEST_TOTAL_S, least=0.05, most=LONGEST_TOTAL_S),
        window=table.whole("window", 4, least=1, most=100),
        rate_per_s=table.number("rate_per_s", 1.0, least=0.001, most=10_000),
        encodings=_encodings(table),
        max_segments=table.whole("max_segments", 10, least=1, most=255),
    )


def _target(table: Table, *, allow_private: bool) -> Target:
    address = table.text("address")
    hosts = table.texts("hosts")
    try:
        return parse_target(address, hosts=hosts, allow_private=allow_private)
    except TargetError as error:
        if address:
            table.fault("address", str(error))
        return _NOWHERE


def _template(table: Table, *, form: bool) -> object:
    template = table.raw("body")
    if template is None:
        table.fault("body", 'is missing; it is a table such as to = "$to", text = "$text"')
        return {}
    faults = body.template_faults(template, fields=body.FIELDS, form=form)
    for fault in faults:
        table.fault("body", fault)
    if not faults and (lacking := {"to", "text"} - body.used_fields(template)):
        table.fault("body", f"lacks ${' and $'.join(sorted(lacking))}")
    return template


def _headers(table: Table, *, also: str | None) -> tuple[tuple[str, str], ...]:
    headers = []
    given = table.table("headers")
    for name, value in given.rest().items():
        match value:
            case {"file": file, **more} if more.keys() <= {"before"}:
                text = f"{more.get('before', '')}{given.file_text(name, file) or 'x'}"
            case str():
                text = value
            case _:
                given.fault(name, "must be a text, or a table with 'file' and perhaps 'before'")
                continue
        if _NAME.fullmatch(name) is None or name.lower() in _OURS or name.lower() == also:
            given.fault(name, "is not for you to set")
        elif _VALUE.fullmatch(text) is None:
            given.fault(name, "must be one line of ASCII")
        else:
            headers.append((name, text))
    if also is not None and (_NAME.fullmatch(also) is None or also in _OURS):
        table.fault("idempotency_header", "is no name of a header that you may set")
    return tuple(headers)


def _rules(table: Table, *, list_at: pointer.Path | None, keyed: bool) -> AnswerRules:
    success = table.table("success")
    statuses = _statuses(success)
    at = success.pointer("pointer")
    wanted = pointer.scalar_text(success.raw("equals"))
    success.finish()
    if (at is None) != (wanted is None):
        success.fault("equals", "and 'pointer' go together")
    where = table.table("id")
    id_at, id_header = where.pointer("pointer"), where.text("header", "").lower() or None
    where.finish()
    if (id_at is None) == (id_header is None):
        where.fault("pointer", "or 'header' must say where the id is, one of the two")
    errors = table.table("errors")
    error_at = errors.pointer("pointer")
    unlisted = errors.raw("unlisted")
    codes = errors.table("codes")
    known = {code: _refusal(codes, code, value) for code, value in codes.rest().items()}
    rules = AnswerRules(
        statuses=statuses,
        success=None if at is None or wanted is None else (at, wanted),
        id_at=id_at,
        id_header=id_header,
        error_at=error_at,
        errors={code: refusal for code, refusal in known.items() if refusal is not None},
        unlisted=None if unlisted is None else _refusal(errors, "unlisted", unlisted),
        list_at=list_at,
        keyed=keyed,
    )
    errors.finish()
    if error_at is None and (known or unlisted is not None):
        errors.fault("pointer", "is missing, so no error could be found")
    return rules


def _statuses(success: Table) -> frozenset[int]:
    match success.raw("statuses", _SUCCESS):
        case list() | tuple() as given if given and all(status in _SUCCESS for status in given):
            return frozenset(given)
        case _:
            success.fault("statuses", "must be a list of statuses from 200 to 299")
            return frozenset(_SUCCESS)


def _refusal(table: Table, code: str, value: object) -> Refusal | None:
    match value:
        case Mapping() if value.keys() <= {"kind", "scope"}:
            kind, scope = value.get("kind"), value.get("scope", "message")
            if kind in set(RejectKind) and scope in set(Scope):
                return Refusal(kind=RejectKind(kind), scope=Scope(scope))
        case _:
            pass
    table.fault(
        code,
        "must be a table: 'kind' permanent, transient or throttled, 'scope' message or route",
    )
    return None


def _encodings(table: Table) -> frozenset[Encoding]:
    given = table.texts("encodings", tuple(Encoding))
    if given and set(given) <= set(Encoding):
        return frozenset(Encoding(name) for name in given)
    table.fault("encodings", "must be a list of gsm7 and ucs2, or of one of them")
    return frozenset(Encoding)


def _file(table: Table, key: str) -> Path | None:
    text = table.text(key, "")
    if text and not Path(text).is_file():
        table.fault(key, "names no file")
    return Path(text) if text else None
