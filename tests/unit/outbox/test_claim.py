"""A claim takes what is due and what the route has room for, and freezes it."""

import pytest

from gateway_adapters.contract import Rejected, RejectKind, Scope
from service.messages.printing import ValueRefusedError
from service.outbox.due import Due
from service.outbox.overdue import expire_overdue
from service.records.engine import Sessions
from service.records.traffic import RouteRow
from tests.unit.outbox.queue import (
    EIGHT,
    NOW,
    a_draft,
    answer,
    claim,
    claimed,
    later,
    leases,
    message,
    put,
    queued,
    route,
    steps,
    two_tenants,
    why,
)


def ids(sessions: Sessions, seconds: float = 0, *, limit: int = 100) -> list[int]:
    made = claim(sessions, now=later(seconds), limit=limit)
    return [] if made is None else [item.message_id for item in made.messages]


def test_the_longest_due_goes_first(outbox: Sessions) -> None:
    second = queued(outbox, "second", due_at=later(-10))
    third = queued(outbox, "third")
    first = queued(outbox, "first", due_at=later(-20))

    assert ids(outbox) == [first, second, third]


def test_nothing_goes_before_its_time_or_at_its_end(outbox: Sessions) -> None:
    queued(outbox, "early", due_at=later(1))
    queued(outbox, "over", expires_at=NOW)
    on_time = queued(outbox, "on time", due_at=NOW, expires_at=later(1))

    assert ids(outbox) == [on_time]


def test_a_claim_takes_no_more_than_asked(outbox: Sessions) -> None:
    queue = [queued(outbox, str(number)) for number in range(5)]

    assert [ids(outbox, limit=2), ids(outbox, limit=2), ids(outbox, limit=2)] == [
        queue[:2],
        queue[2:4],
        queue[4:],
    ]


def test_a_route_gives_one_second_of_its_rate_and_fills_up_again(sessions: Sessions) -> None:
    two_tenants(sessions, rate_per_s=2)
    for number in range(9):
        queued(sessions, str(number))

    taken = [len(ids(sessions, seconds)) for seconds in (0, 0, 0.5, 0.5, 1.5, 60)]

    assert taken == [2, 0, 1, 0, 2, 2]


def test_a_route_slower_than_a_text_a_second_still_sends(sessions: Sessions) -> None:
    two_tenants(sessions, rate_per_s=0.5)
    for number in range(3):
        queued(sessions, str(number))

    taken = [len(ids(sessions, seconds)) for seconds in (0, 1, 2, 3, 4)]

    assert taken == [1, 0, 1, 0, 1]


def test_a_clock_that_steps_back_takes_no_tokens_away(sessions: Sessions) -> None:
    two_tenants(sessions, rate_per_s=2)
    queued(sessions, "one", due_at=later(-100))
    queued(sessions, "two", due_at=later(-100))

    taken = [len(ids(sessions, 0, limit=1)), len(ids(sessions, -50))]

    assert taken == [1, 1]


def test_a_paused_route_sends_nothing_until_the_pause_is_over(outbox: Sessions) -> None:
    message_id = queued(outbox)
    with outbox.begin() as session:
        row = session.get_one(RouteRow, 1)
        row.paused_until, row.paused_for = later(30), "no credit"

    taken = [ids(outbox, 29.9), ids(outbox, 30)]

    assert taken == [[], [message_id]]
    assert (route(outbox).paused_until, route(outbox).paused_for) == (None, None)


def test_an_empty_queue_gives_no_claim(outbox: Sessions) -> None:
    assert (claim(outbox), leases(outbox)) == (None, [])


def test_another_association_keeps_its_texts(outbox: Sessions) -> None:
    put(outbox, a_draft(route_id=2, phone_id=2), association_id=2)

    assert claim(outbox) is None


def test_a_claim_freezes_body_segments_and_token_under_a_lease_of_two_minutes(
    outbox: Sessions,
) -> None:
    """Lease 120 s: project choice, in the design of a message's life."""
    message_id = queued(outbox)

    made = claim(outbox, render=lambda _row: "a" * 161)

    assert made is not None
    row, (item,) = message(outbox, message_id), made.messages
    assert (row.state, row.body, row.segments) == ("claimed", "a" * 161, 2)
    assert (item.body, item.token, item.number) == (row.body, row.token, row.number)
    assert item.valid_until == EIGHT
    (lease,) = leases(outbox)
    assert (lease.expires_at, made.expires_at) == (later(120), later(120))
    assert (lease.id, lease.messages) == (made.claim_id, {"ids": [message_id]})


def test_a_text_claimed_again_says_the_same_under_another_token(outbox: Sessions) -> None:
    queued(outbox)
    first = claimed(outbox)
    answer(outbox, first, Rejected(kind=RejectKind.TRANSIENT))

    second = claim(outbox, now=later(60), render=lambda _row: "something else")

    assert second is not None
    assert second.messages[0].body == first.messages[0].body
    assert second.messages[0].token != first.messages[0].token


def test_a_text_that_cannot_be_written_fails_alone(outbox: Sessions) -> None:
    bad, good = queued(outbox, "bad"), queued(outbox, "good")

    def render(row: Due) -> str:
        if row.dedupe_key == "bad":
            raise ValueRefusedError("litres are a number")
        return "fine"

    made = claim(outbox, render=render)

    assert made is not None
    assert [item.message_id for item in made.messages] == [good]
    assert steps(outbox, bad)[-1] == ("reject", "failed")
    assert why(outbox, bad) == "the text cannot be written"
    assert route(outbox).tokens == 500 - 1


@pytest.mark.parametrize(
    ("seconds", "state"),
    [pytest.param(-1, "queued", id="before"), pytest.param(0, "expired", id="at")],
)
def test_a_text_not_sent_by_its_end_expires(outbox: Sessions, seconds: float, state: str) -> None:
    message_id = queued(outbox, expires_at=NOW)
    (foreign,) = put(outbox, a_draft(route_id=2, phone_id=2, expires_at=NOW), association_id=2)
    assert foreign is not None

    with outbox.begin() as session:
        expired = expire_overdue(session, 1, now=later(seconds))

    assert (message(outbox, message_id).state, expired) == (state, int(state == "expired"))
    assert message(outbox, foreign).state == "queued"


def test_a_refusal_of_the_whole_route_gives_every_text_back(outbox: Sessions) -> None:
    queue = [queued(outbox, str(number)) for number in range(2)]
    refusal = Rejected(kind=RejectKind.PERMANENT, scope=Scope.ROUTE, code="password")

    answer(outbox, claimed(outbox), refusal, refusal)

    assert [message(outbox, item).state for item in queue] == ["queued", "queued"]
    assert ids(outbox) == []
    assert ids(outbox, 3600) == queue
