"""What the gateway answers decides where a text stands, and whether its route pauses."""

import pytest

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from service.outbox.enqueue import DoseLink
from service.outbox.overdue import lapse_leases
from service.records.engine import Sessions
from tests.unit.outbox.queue import (
    EVENING,
    NOW,
    answer,
    claim,
    claimed,
    dose,
    later,
    leases,
    message,
    queued,
    route,
    steps,
    why,
)

PERMANENT, TRANSIENT, THROTTLED = RejectKind.PERMANENT, RejectKind.TRANSIENT, RejectKind.THROTTLED


def lapse(sessions: Sessions) -> None:
    with sessions.begin() as session:
        lapse_leases(session, 1, now=later(120))


@pytest.mark.parametrize(
    ("outcome", "gateway_id"),
    [
        pytest.param(Accepted(gateway_ids=("g1",)), "g1", id="one id"),
        pytest.param(Accepted(gateway_ids=("g1", "g2")), "g2", id="an id for each part"),
        pytest.param(Accepted(), None, id="no id"),
    ],
)
def test_an_accepted_text_is_submitted_under_its_last_id(
    outbox: Sessions, outcome: Accepted, gateway_id: str | None
) -> None:
    message_id = queued(outbox)

    answer(outbox, claimed(outbox), outcome)

    row = message(outbox, message_id)
    assert (row.state, row.gateway_id, leases(outbox)) == ("submitted", gateway_id, [])
    assert steps(outbox, message_id) == [
        ("enqueue", "queued"),
        ("claim", "claimed"),
        ("accept", "submitted"),
    ]


@pytest.mark.parametrize(
    ("outcome", "told"),
    [
        pytest.param(Accepted(), True, id="accepted"),
        pytest.param(Ambiguous(reason="silence"), True, id="perhaps sent"),
        pytest.param(Rejected(kind=PERMANENT), False, id="refused"),
        pytest.param(Rejected(kind=TRANSIENT), False, id="refused for now"),
    ],
)
def test_litres_are_told_once_a_text_left_or_may_have_left(
    outbox: Sessions, *, outcome: Outcome, told: bool
) -> None:
    queued(outbox, doses=(DoseLink(dose_id=1, revision=1, due_on=EVENING),))

    answer(outbox, claimed(outbox), outcome)

    assert dose(outbox).told is told


@pytest.mark.parametrize(
    ("outcome", "ends", "paused_s"),
    [
        pytest.param(Rejected(kind=PERMANENT), ("failed", 0, 0), None, id="never, this text"),
        pytest.param(Rejected(kind=TRANSIENT), ("queued", 1, 30), None, id="not now, this text"),
        pytest.param(
            Rejected(kind=TRANSIENT, retry_after_s=77), ("queued", 1, 77), None, id="not for 77 s"
        ),
        pytest.param(
            Rejected(kind=TRANSIENT, retry_after_s=9999),
            ("queued", 1, 900),
            None,
            id="not for hours",
        ),
        pytest.param(
            Rejected(kind=TRANSIENT, retry_after_s=0), ("queued", 1, 1), None, id="again at once"
        ),
        pytest.param(Rejected(kind=THROTTLED), ("queued", 0, 30), 30, id="too fast, this text"),
        pytest.param(
            Rejected(kind=THROTTLED, scope=Scope.ROUTE, retry_after_s=5),
            ("queued", 0, 0),
            5,
            id="too fast, the route",
        ),
        pytest.param(
            Rejected(kind=TRANSIENT, scope=Scope.ROUTE),
            ("queued", 0, 0),
            30,
            id="not now, the route",
        ),
        pytest.param(
            Rejected(kind=PERMANENT, scope=Scope.ROUTE), ("queued", 0, 0), 30, id="never, the route"
        ),
    ],
)
def test_a_refusal_is_of_this_text_or_of_the_route_for_now_or_for_ever(
    outbox: Sessions,
    outcome: Rejected,
    ends: tuple[str, int, float],
    paused_s: float | None,
) -> None:
    """First wait 30 s, longest 900 s: common practice, no source."""
    message_id = queued(outbox)
    state, tries, due_s = ends

    answer(outbox, claimed(outbox), outcome)

    row = message(outbox, message_id)
    assert (row.state, row.tries, row.due_at) == (state, tries, later(due_s))
    assert route(outbox).paused_until == (None if paused_s is None else later(paused_s))
    assert leases(outbox) == []


def test_a_pause_tells_what_the_gateway_said_or_what_kind_of_refusal_it_was(
    outbox: Sessions,
) -> None:
    queued(outbox)
    answer(outbox, claimed(outbox), Rejected(kind=PERMANENT, scope=Scope.ROUTE, code="no credit"))
    first = route(outbox).paused_for
    again = claimed(outbox, now=later(60))
    answer(outbox, again, Rejected(kind=THROTTLED), now=later(60))

    assert (first, route(outbox).paused_for) == ("no credit", "throttled")


def test_a_text_refused_for_now_is_tried_three_times_with_growing_waits(outbox: Sessions) -> None:
    """Three tries, 30 s doubled: common practice, no source."""
    message_id = queued(outbox)
    seconds, seen = 0.0, []

    for _ in range(3):
        answer(
            outbox,
            claimed(outbox, now=later(seconds)),
            Rejected(kind=TRANSIENT, code="busy"),
            now=later(seconds),
        )
        row = message(outbox, message_id)
        seen.append((row.state.value, (row.due_at - NOW).total_seconds(), row.token is None))
        seconds = (row.due_at - NOW).total_seconds()

    assert seen[:2] == [("queued", 30, True), ("queued", 30 + 60, True)]
    assert seen[2][0] == "failed"
    assert why(outbox, message_id) == "refused too often"
    assert claim(outbox, now=later(3600)) is None


def test_silence_makes_a_text_unknown_and_never_queues_it_again(outbox: Sessions) -> None:
    message_id = queued(outbox)

    answer(outbox, claimed(outbox), Ambiguous(reason="no-answer"))

    assert steps(outbox, message_id)[-1] == ("lose", "unknown")
    assert claim(outbox, now=later(3600)) is None
    assert message(outbox, message_id).gateway_id is None


def test_an_id_that_came_through_before_the_line_broke_is_kept(outbox: Sessions) -> None:
    message_id = queued(outbox)

    answer(outbox, claimed(outbox), Ambiguous(reason="no-answer", gateway_ids=("g7",)))

    row = message(outbox, message_id)
    assert (row.state, row.gateway_id) == ("unknown", "g7")


@pytest.mark.parametrize(
    ("outcome", "state"),
    [
        pytest.param(Accepted(gateway_ids=("g1",)), "submitted", id="a clear yes lifts the doubt"),
        pytest.param(Rejected(kind=PERMANENT), "unknown", id="a no does not"),
        pytest.param(Rejected(kind=TRANSIENT), "unknown", id="nor does a no for now"),
        pytest.param(Ambiguous(reason="silence"), "unknown", id="nor does silence"),
    ],
)
def test_an_answer_after_the_lease_counts_only_if_it_is_a_yes(
    outbox: Sessions, outcome: Outcome, state: str
) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)
    lapse(outbox)

    answer(outbox, made, outcome, now=later(150))

    assert message(outbox, message_id).state == state
    assert route(outbox).paused_until is None


def test_an_answer_to_an_older_claim_of_the_text_is_not_heard(outbox: Sessions) -> None:
    message_id = queued(outbox)
    first = claimed(outbox)
    answer(outbox, first, Rejected(kind=TRANSIENT))
    claimed(outbox, now=later(60))

    answer(outbox, first, Accepted(gateway_ids=("old",)), now=later(61))

    row = message(outbox, message_id)
    assert (row.state, row.gateway_id) == ("claimed", None)


def test_the_same_answer_twice_changes_nothing_more(outbox: Sessions) -> None:
    message_id = queued(outbox)
    made = claimed(outbox)

    answer(outbox, made, Accepted(gateway_ids=("g1",)))
    once = steps(outbox, message_id)
    answer(outbox, made, Rejected(kind=PERMANENT))

    assert steps(outbox, message_id) == once


def test_each_text_gets_its_own_answer_in_order(outbox: Sessions) -> None:
    queue = [queued(outbox, str(number)) for number in range(3)]

    answer(
        outbox,
        claimed(outbox),
        Accepted(gateway_ids=("g1",)),
        Rejected(kind=PERMANENT, code="barred"),
        Ambiguous(reason="reset"),
    )

    assert [message(outbox, item).state for item in queue] == ["submitted", "failed", "unknown"]
    assert why(outbox, queue[1]) == "barred"


def test_a_gateway_that_answers_for_too_few_is_a_fault_and_settles_nothing(
    outbox: Sessions,
) -> None:
    queue = [queued(outbox, str(number)) for number in range(2)]
    made = claimed(outbox)

    with pytest.raises(ValueError, match="shorter"):
        answer(outbox, made, Accepted())

    assert [message(outbox, item).state for item in queue] == ["claimed", "claimed"]
    assert len(leases(outbox)) == 1
