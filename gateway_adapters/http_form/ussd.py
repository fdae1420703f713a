"""Steps of USSD sessions out of a webhook's documents, and the answers that show screens. Pure.

Verbs, marks and field names differ from gateway to gateway, so all of them are settings.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from string import Template

from gateway_adapters import gsm7
from gateway_adapters.contract import WebhookResult
from gateway_adapters.events import Screen, UssdBegin, UssdEnd, UssdEndReason, UssdEvent, UssdInput
from gateway_adapters.http_form import body, pointer
from gateway_adapters.http_form.documents import Place, field_text, message_text, phone
from gateway_adapters.http_form.incoming import Knock

FIELDS = frozenset({"mark", "text", "session"})
LONGEST_SEPTETS = 182  # 3GPP TS 23.038 and 24.080: 160 octets
LONGEST_UNITS = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class UssdRules:
    """Where the steps of sessions are and what they say.

    Attributes:
        step: where the kind of step stands; None: a step without text begins a session.
        begin, go_on: what stands there for a begin and for an input.
        ends: what stands there where a session has ended, and why.
        joined_by: the mark between all inputs so far, where the gateway sends all of them.
    """

    place: Place
    event_id: pointer.Path | None
    session: pointer.Path
    phone: pointer.Path
    code: pointer.Path | None
    text: pointer.Path
    step: pointer.Path | None
    begin: frozenset[str]
    go_on: frozenset[str]
    ends: Mapping[str, UssdEndReason]
    joined_by: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class UssdAnswers:
    """How a screen is written: `format` is text, form or json; the marks are any JSON value."""

    format: str
    template: object
    continue_mark: str | int | bool
    end_mark: str | int | bool


def ussd_events(item: object, rules: UssdRules, knock: Knock, *, number: int) -> list[UssdEvent]:
    """Return the step, or nothing if it names no session or is of no known kind."""
    session = pointer.id_text(pointer.look_up(item, rules.session))
    if session is None:
        return []
    caller = phone(field_text(item, rules.phone), digits_only=knock.digits_only)
    event_id = knock.event_id("ussd", item, rules.event_id, number)
    typed = (message_text(item, rules.text) or ("", False))[0]
    said = "" if rules.step is None else field_text(item, rules.step)
    begins = not typed if rules.step is None else said in rules.begin
    if rules.step is not None and said in rules.ends:
        return [UssdEnd(event_id=event_id, session=session, phone=caller, reason=rules.ends[said])]
    if begins:
        code = field_text(item, rules.code)
        return [UssdBegin(event_id=event_id, session=session, phone=caller, code=code, text=typed)]
    if rules.step is not None and said not in rules.go_on:
        return []
    if rules.joined_by:
        typed = typed.rpartition(rules.joined_by)[2]
    return [UssdInput(event_id=event_id, session=session, phone=caller, text=typed)]


def screen_response(answers: UssdAnswers, session: str, screen: Screen) -> WebhookResult:
    """Return the answer that shows a screen.

    Raises:
        ValueError: The screen is longer than a USSD string can be (182 septets, or 80 units).
    """
    _refuse_long(screen.text)
    values = {
        "mark": answers.end_mark if screen.finish else answers.continue_mark,
        "text": screen.text,
        "session": session,
    }
    if answers.format == "text":
        filled = Template(str(answers.template)).substitute(values).encode("utf-8")
        return WebhookResult(status=200, body=filled)
    filled_in = body.fill(answers.template, values)
    if answers.format == "form":
        return WebhookResult(
            status=200,
            body=body.encode_form(filled_in),
            content_type="application/x-www-form-urlencoded",
        )
    return WebhookResult(
        status=200, body=body.encode_json(filled_in), content_type="application/json"
    )


def _refuse_long(text: str) -> None:
    if gsm7.is_gsm7(text):
        fits = gsm7.septet_count(text) <= LONGEST_SEPTETS
    else:
        fits = len(text.encode("utf-16-le", "surrogatepass")) <= 2 * LONGEST_UNITS
    if not fits:
        raise ValueError("The screen is longer than a USSD string can be; page it.")
