"""What an answer means: the table for HTTP of the project's message reference (section 6)."""

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Outcome,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.http_form.answers import (
    Answer,
    AnswerRules,
    Refusal,
    may_have_been_taken,
    outcome_of,
    outcomes_of,
)
from tests.outgoing import EVENING

RULES = AnswerRules(
    statuses=frozenset(range(200, 300)),
    id_at=("id",),
    error_at=("error",),
    errors={
        "12": Refusal(kind=RejectKind.PERMANENT, scope=Scope.MESSAGE),
        "full": Refusal(kind=RejectKind.THROTTLED, scope=Scope.ROUTE),
    },
)
PERMANENT_ROUTE = (RejectKind.PERMANENT, Scope.ROUTE)
UNCLEAR = "unclear"


def _outcome(
    status: int, body: bytes | None = b"", rules: AnswerRules = RULES, **headers: str
) -> Outcome:
    answer = Answer(status=status, headers=headers, body=body)
    return outcome_of(answer, rules, now=EVENING)


def _class(outcome: Outcome) -> object:
    match outcome:
        case Accepted(gateway_ids=ids):
            return ids
        case Rejected(kind=kind, scope=scope):
            return kind, scope
        case Ambiguous():
            return UNCLEAR


@pytest.mark.parametrize(
    ("status", "expected"),
    [
        *((status, PERMANENT_ROUTE) for status in (300, 301, 302, 304, 307, 308)),
        *((status, PERMANENT_ROUTE) for status in (400, 404, 405, 413, 415, 422)),
        *((status, PERMANENT_ROUTE) for status in (401, 402, 403, 409, 410, 451)),
        *((status, (RejectKind.THROTTLED, Scope.ROUTE)) for status in (429, 503)),
        *((status, UNCLEAR) for status in (101, 408, 500, 501, 502, 504, 507, 599)),
    ],
)
def test_a_status_has_its_class(status: int, expected: object) -> None:
    assert _class(_outcome(status)) == expected


@pytest.mark.parametrize("status", [400, 404, 405, 413, 415, 422])
def test_a_refusal_is_of_the_message_if_the_table_knows_it(status: int) -> None:
    assert _class(_outcome(status, b'{"error": 12}')) == (RejectKind.PERMANENT, Scope.MESSAGE)
    assert _class(_outcome(status, b'{"error": "13"}')) == PERMANENT_ROUTE


@pytest.mark.parametrize("status", [401, 402, 403, 500, 429])
def test_other_statuses_are_not_for_the_table(status: int) -> None:
    assert _class(_outcome(status, b'{"error": 12}')) == _class(_outcome(status))


def test_no_credit_is_called_so() -> None:
    outcome = _outcome(402)

    assert isinstance(outcome, Rejected)
    assert outcome.detail == "There is no credit with the gateway."


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (b'{"id": "a"}', ("a",)),
        (b'{"id": 1, "error": null}', ("1",)),
        (b'{"id": 1, "error": 0}', ("1",)),
        (b'{"id": 1, "error": ""}', ("1",)),
        (b'{"id": 1, "error": false}', ("1",)),
        (b'{"error": 12}', (RejectKind.PERMANENT, Scope.MESSAGE)),
        (b'{"id": 1, "error": "full"}', (RejectKind.THROTTLED, Scope.ROUTE)),
        (b'{"error": "who knows"}', UNCLEAR),
        (b'{"id": 1, "error": "who knows"}', UNCLEAR),
        (b'{"id": 1, "error": {"code": 12}}', UNCLEAR),
        (b"{}", UNCLEAR),
        (b"", UNCLEAR),
        (b"{", UNCLEAR),
        (None, UNCLEAR),
    ],
)
def test_an_answer_of_success_is_read(body: bytes | None, expected: object) -> None:
    assert _class(_outcome(200, body)) == expected


def test_success_may_be_a_value_that_stands_somewhere() -> None:
    rules = AnswerRules(
        statuses=frozenset({200}), success=(("ok",), "true"), id_at=("id",), error_at=("error",)
    )

    assert _class(_outcome(200, b'{"ok": true, "id": 5, "error": "none"}', rules)) == ("5",)
    assert _class(_outcome(200, b'{"ok": false, "id": 5}', rules)) == UNCLEAR
    assert _class(_outcome(200, b'{"id": 5}', rules)) == UNCLEAR
    assert _class(_outcome(202, b'{"ok": true, "id": 5}', rules)) == UNCLEAR


def test_an_error_that_is_in_no_table_is_what_the_settings_say() -> None:
    rules = AnswerRules(
        statuses=frozenset({200}),
        id_at=("id",),
        error_at=("error",),
        unlisted=Refusal(kind=RejectKind.TRANSIENT, scope=Scope.MESSAGE),
    )

    assert _class(_outcome(200, b'{"error": "x"}', rules)) == (
        RejectKind.TRANSIENT,
        Scope.MESSAGE,
    )
    assert _class(_outcome(200, b"{}", rules)) == UNCLEAR


def test_an_id_in_a_header_needs_no_body() -> None:
    rules = AnswerRules(statuses=frozenset({200}), id_header="x-id")

    assert _class(_outcome(200, b"<ok/>", rules, **{"x-id": "7"})) == ("7",)
    assert _class(_outcome(200, b"<ok/>", rules)) == UNCLEAR


def test_a_conflict_counts_only_under_our_own_key() -> None:
    keyed = AnswerRules(statuses=frozenset({200}), id_at=("id",), keyed=True)

    assert _class(_outcome(409, b'{"id": "old"}', keyed)) == ("old",)
    assert _class(_outcome(409, b"{}", keyed)) == UNCLEAR
    assert _class(_outcome(409, b'{"id": "old"}')) == PERMANENT_ROUTE


def test_a_list_is_read_in_order_and_only_if_it_is_whole() -> None:
    rules = AnswerRules(
        statuses=frozenset({200}),
        id_at=("id",),
        error_at=("error",),
        errors=RULES.errors,
        list_at=("all",),
    )
    body = b'{"all": [{"id": 1}, {"error": 12}, {}]}'
    answer = Answer(status=200, headers={}, body=body)

    assert [_class(one) for one in outcomes_of(answer, rules, many=3, now=EVENING)] == [
        ("1",),
        (RejectKind.PERMANENT, Scope.MESSAGE),
        UNCLEAR,
    ]
    assert [_class(one) for one in outcomes_of(answer, rules, many=4, now=EVENING)] == [UNCLEAR] * 4


def test_a_second_request_is_for_statuses_that_say_nothing_certain() -> None:
    """408 and all of 5xx but 503, which says that nothing was taken."""
    again = [
        status
        for status in range(100, 600)
        if may_have_been_taken(Answer(status=status, headers={}, body=b""))
    ]

    assert again == [408, *(status for status in range(500, 600) if status != 503)]


def test_nothing_of_the_answer_goes_into_reasons() -> None:
    """Reasons hold no number or text, whatever the gateway writes."""
    for status in (200, 400, 401, 409, 500):
        outcome = _outcome(status, b'{"error": "+255100000001 Siri", "x": "+255100000001"}')
        assert "255" not in repr(outcome)
        assert "Siri" not in repr(outcome)
