"""What an answer means: status, headers and body in, outcomes out. Pure.

The classes are those of the project's reference for HTTP gateways; where a status says nothing
certain the text is ambiguous, for a second text can cause a second dose.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Outcome,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.http_form import pointer
from gateway_adapters.http_form.retry_after import retry_after_s

# RFC 9110, 15.5, and RFC 6585, 4 (429)
_BY_TABLE = frozenset({400, 404, 405, 413, 415, 422})
_UNAUTHORIZED, _NO_CREDIT, _FORBIDDEN = 401, 402, 403
_REQUEST_TIMEOUT, _CONFLICT, _TOO_MANY, _UNAVAILABLE = 408, 409, 429, 503
_OK, _REDIRECT, _REFUSED, _BROKEN = 200, 300, 400, 500
# What programs write where there is no error: common practice, no source.
_NO_ERROR = frozenset({"", "0", "false"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A whole answer; header names in small letters; `body` None where it was too large."""

    status: int
    headers: Mapping[str, str]
    body: bytes | None

    @property
    def succeeded(self) -> bool:
        """Whether the status is one of success (RFC 9110, 15.3)."""
        return _OK <= self.status < _REDIRECT


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """What an error code of the gateway means."""

    kind: RejectKind
    scope: Scope


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerRules:
    """Where an answer says what.

    Attributes:
        statuses: the statuses that can mean success, all from 200 to 299.
        success: where a value must stand for success, and which; None: the status is enough.
        id_at, id_header: where the id is.
        error_at: where the error code is, in the body or, of a list, in an element.
        errors: what the codes mean.
        unlisted: what a code means in an answer 2xx that is not in `errors`; None: ambiguous.
        list_at: where the list of answers is, when several messages go in one request.
        keyed: whether the request bears an idempotency key.
    """

    statuses: frozenset[int]
    success: tuple[pointer.Path, str] | None = None
    id_at: pointer.Path | None = None
    id_header: str | None = None
    error_at: pointer.Path | None = None
    errors: Mapping[str, Refusal] = field(default_factory=dict)
    unlisted: Refusal | None = None
    list_at: pointer.Path | None = None
    keyed: bool = False

    @property
    def reads_bodies(self) -> bool:
        """Whether anything is looked for in a body."""
        return not (self.success is None and self.id_at is None and self.error_at is None)


def outcome_of(answer: Answer, rules: AnswerRules, *, now: datetime) -> Outcome:
    """Return the outcome of a request with one message."""
    if answer.succeeded:
        return _of_success(answer, rules)
    if answer.status == _CONFLICT and rules.keyed:
        gateway_id = _id(answer, _document(answer), rules)
        if gateway_id is not None:
            return Accepted(gateway_ids=(gateway_id,))
        return Ambiguous(reason="The gateway has had this text before, and does not name its id.")
    return _of_refusal(answer, rules, now=now)


def outcomes_of(answer: Answer, rules: AnswerRules, *, many: int, now: datetime) -> list[Outcome]:
    """Return the outcomes of a request with several messages, in order."""
    if not answer.succeeded:
        return [_of_refusal(answer, rules, now=now)] * many
    unclear: list[Outcome] = [
        Ambiguous(reason="The gateway did not answer for each text of a list.")
    ] * many
    if answer.status not in rules.statuses:
        return unclear
    document = _document(answer)
    found = pointer.look_up(document, rules.list_at or ())
    if not isinstance(found, list) or len(found) != many:
        return unclear
    # A header speaks of the whole answer, so it names the id of none.
    return [_of_document(element, rules, gateway_id=_id_in(element, rules)) for element in found]


def may_have_been_taken(answer: Answer) -> bool:
    """Return whether the same request again, under the same key, could clear things up."""
    return answer.status == _REQUEST_TIMEOUT or (
        answer.status >= _BROKEN and answer.status != _UNAVAILABLE
    )


def _of_success(answer: Answer, rules: AnswerRules) -> Outcome:
    if answer.body is None:
        return Ambiguous(reason="The gateway's answer was too large to read.")
    document = _document(answer)
    if document is None and answer.body.strip() and rules.reads_bodies:
        return Ambiguous(reason="The gateway's answer could not be read.")
    gateway_id = _id(answer, document, rules)
    if answer.status not in rules.statuses and _refusal(document, rules) is None:
        return Ambiguous(reason=f"The gateway answered {answer.status}, which is no success here.")
    return _of_document(document, rules, gateway_id=gateway_id)


def _of_document(document: object, rules: AnswerRules, *, gateway_id: str | None) -> Outcome:
    ids = () if gateway_id is None else (gateway_id,)
    if known := _refusal(document, rules):
        code, refusal = known
        return _rejected(refusal, code=code, detail="The gateway answered with this error.")
    if rules.success is not None:
        path, wanted = rules.success
        succeeded = pointer.scalar_text(pointer.look_up(document, path)) == wanted
    else:
        succeeded = not _names_an_error(document, rules)
    if succeeded and ids:
        return Accepted(gateway_ids=ids)
    if succeeded:
        return Ambiguous(reason="The gateway's answer names no id.")
    if rules.unlisted is not None and _names_an_error(document, rules):
        return _rejected(rules.unlisted, code="unlisted", detail="An error that is in no table.")
    return Ambiguous(
        reason="The gateway's answer is neither a success nor an error in the table.",
        gateway_ids=ids,
    )


def _of_refusal(answer: Answer, rules: AnswerRules, *, now: datetime) -> Outcome:
    status = answer.status
    if status in {_TOO_MANY, _UNAVAILABLE}:
        return Rejected(
            kind=RejectKind.THROTTLED,
            scope=Scope.ROUTE,
            code=str(status),
            detail="The gateway asks to wait.",
            retry_after_s=retry_after_s(
                answer.headers.get("retry-after"), date=answer.headers.get("date"), now=now
            ),
        )
    if may_have_been_taken(answer) or status < _OK:
        return Ambiguous(reason=f"The gateway answered {status}, which says nothing certain.")
    if status in _BY_TABLE and (known := _refusal(_document(answer), rules)):
        code, refusal = known
        return _rejected(refusal, code=code, detail=f"The gateway answered {status}.")
    return _rejected(
        Refusal(kind=RejectKind.PERMANENT, scope=Scope.ROUTE),
        code=str(status),
        detail=_route_fault(status),
    )


def _route_fault(status: int) -> str:
    if status < _REFUSED:
        return "The gateway points to another address, which is never followed."
    return {
        _UNAUTHORIZED: "The gateway refuses our name or password.",
        _NO_CREDIT: "There is no credit with the gateway.",
        _FORBIDDEN: "The gateway does not allow this sender or account.",
    }.get(status, f"The gateway refuses such requests ({status}).")


def _rejected(refusal: Refusal, *, code: str, detail: str) -> Rejected:
    return Rejected(kind=refusal.kind, scope=refusal.scope, code=code, detail=detail)


def _refusal(document: object, rules: AnswerRules) -> tuple[str, Refusal] | None:
    code = _error_code(document, rules)
    return None if code is None or code not in rules.errors else (code, rules.errors[code])


def _names_an_error(document: object, rules: AnswerRules) -> bool:
    if rules.error_at is None:
        return False
    found = pointer.look_up(document, rules.error_at)
    return found is not None and pointer.scalar_text(found) not in _NO_ERROR


def _error_code(document: object, rules: AnswerRules) -> str | None:
    if rules.error_at is None:
        return None
    return pointer.scalar_text(pointer.look_up(document, rules.error_at))


def _id(answer: Answer, document: object, rules: AnswerRules) -> str | None:
    if rules.id_header is not None:
        return pointer.id_text(answer.headers.get(rules.id_header))
    return _id_in(document, rules)


def _id_in(document: object, rules: AnswerRules) -> str | None:
    return None if rules.id_at is None else pointer.id_text(pointer.look_up(document, rules.id_at))


def _document(answer: Answer) -> object:
    try:
        return None if answer.body is None else pointer.read_json(answer.body)
    except pointer.UnreadableError:
        return None
