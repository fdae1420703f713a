"""How long a throttled route rests."""

from dataclasses import dataclass

import pytest

from gateway_adapters.contract import Accepted, Outcome, Rejected, RejectKind, Scope
from gateway_adapters.http_form.rest import LONGEST_S, Rest
from gateway_adapters.http_form.retry_after import retry_after_s
from tests.outgoing import EVENING


@pytest.mark.parametrize(
    ("value", "date", "wait_s"),
    [
        ("0", None, 0),
        (" 17 ", None, 17),
        ("901", None, 900),
        ("999999999", None, 900),
        ("Mon, 15 Mar 2027 15:01:00 GMT", None, 60),
        ("Mon, 15 Mar 2027 18:01:00 +0300", None, 60),
        ("Mon, 15 Mar 2027 14:00:00 GMT", None, 0),
        ("Mon, 15 Mar 2027 23:00:00 GMT", None, 900),
        ("Fri, 27 Nov 2026 06:00:30 GMT", "Fri, 27 Nov 2026 06:00:00 GMT", 30),
        ("Fri, 27 Nov 2026 06:00:30 GMT", "soon", 0),
        ("soon", None, None),
        ("-1", None, None),
        ("1.5", None, None),
        ("", None, None),
        ("9999999999", None, None),
        (None, None, None),
    ],
)
def test_a_wait_is_read_and_never_over_a_quarter_of_an_hour(
    value: str | None, date: str | None, wait_s: float | None
) -> None:
    """RFC 9110, 10.2.3; the evening is 15 March 2027, 15:00 UTC."""
    assert retry_after_s(value, date=date, now=EVENING) == wait_s


@dataclass(slots=True)
class _Stopwatch:
    at_s: float = 0.0

    def __call__(self) -> float:
        return self.at_s


def _throttled(wait_s: float | None = None, scope: Scope = Scope.ROUTE) -> Rejected:
    return Rejected(kind=RejectKind.THROTTLED, scope=scope, retry_after_s=wait_s)


def _wait_s(outcome: Outcome | None) -> float | None:
    return outcome.retry_after_s if isinstance(outcome, Rejected) else None


def test_waits_double_up_to_a_minute_and_begin_anew_after_a_yes() -> None:
    rest = Rest(monotonic=_Stopwatch(), jitter=lambda: 0.0)
    waits = [_wait_s(rest.learn(_throttled())) for _ in range(8)]
    rest.learn(Accepted())

    assert waits == [1, 2, 4, 8, 16, 32, LONGEST_S, LONGEST_S]
    assert _wait_s(rest.learn(_throttled())) == 1


def test_jitter_takes_up_to_half_of_a_wait() -> None:
    assert _wait_s(Rest(jitter=lambda: 1.0).learn(_throttled())) == 0.5
    assert {0.5 <= (_wait_s(Rest().learn(_throttled())) or 0) <= 1 for _ in range(50)} == {True}


def test_the_route_rests_as_long_as_the_gateway_says() -> None:
    watch = _Stopwatch()
    rest = Rest(monotonic=watch)
    rest.learn(_throttled(10))

    watch.at_s = 4
    assert _wait_s(rest.left()) == 6
    watch.at_s = 10
    assert rest.left() is None


def test_a_throttled_message_does_not_rest_the_route() -> None:
    rest = Rest(monotonic=_Stopwatch())

    assert rest.learn(_throttled(9, Scope.MESSAGE)) == _throttled(9, Scope.MESSAGE)
    assert rest.left() is None
