"""Every state meets every event: the table's steps, and a refusal for all the rest."""

import itertools

import pytest

from service.messages.lifecycle import (
    ENDED,
    SENT,
    TRANSITIONS,
    Event,
    IllegalTransitionError,
    State,
    after_receipt,
    next_state,
)

# Each line: a state, then event > next state. Written out by hand, apart from the code's table.
STEPS = """
queued: claim>claimed expire>expired cancel>cancelled
claimed: accept>submitted lose>unknown requeue>queued reject>failed expire>expired cancel>cancelled
submitted: accept>submitted lose>unknown receipt-submitted>submitted receipt-unknown>unknown
submitted: receipt-failed>failed receipt-expired>expired receipt-delivered>delivered
unknown: accept>submitted reject>failed receipt-submitted>unknown receipt-unknown>unknown
unknown: receipt-failed>failed receipt-expired>expired receipt-delivered>delivered
failed: accept>failed receipt-submitted>failed receipt-unknown>failed receipt-failed>failed
failed: receipt-expired>failed receipt-delivered>delivered
expired: accept>expired receipt-submitted>expired receipt-unknown>expired receipt-failed>expired
expired: receipt-expired>expired receipt-delivered>delivered
delivered: accept>delivered receipt-submitted>delivered receipt-unknown>delivered
delivered: receipt-failed>delivered receipt-expired>delivered receipt-delivered>delivered
"""

EXPECTED = {
    (State(state), Event(event)): State(after)
    for line in STEPS.strip().splitlines()
    for state, _, steps in [line.partition(": ")]
    for event, _, after in [step.partition(">") for step in steps.split()]
}

PAIRS = list(itertools.product(State, Event))


@pytest.mark.parametrize(("state", "event"), PAIRS, ids=[f"{s} {e}" for s, e in PAIRS])
def test_a_step_is_in_the_table_or_refused(state: State, event: Event) -> None:
    expected = EXPECTED.get((state, event))

    if expected is not None:
        assert next_state(state, event) is expected
        return
    with pytest.raises(IllegalTransitionError) as refused:
        next_state(state, event)
    assert (refused.value.state, refused.value.event) == (state, event)


def test_nothing_that_may_have_left_goes_back_to_the_queue() -> None:
    back = {before for (before, _), after in TRANSITIONS.items() if after is State.QUEUED}

    assert back == {State.CLAIMED}


def test_what_has_ended_never_goes_out_again() -> None:
    going_out = {State.QUEUED, State.CLAIMED, State.SUBMITTED}
    revived = {
        (before, event)
        for (before, event), after in TRANSITIONS.items()
        if before in ENDED and after in going_out
    }

    assert revived == set()


@pytest.mark.parametrize("order", list(itertools.permutations(sorted(SENT))), ids=" ".join)
def test_receipts_in_any_order_and_twice_end_as_delivered(order: tuple[State, ...]) -> None:
    state = State.SUBMITTED
    for receipt in (*order, *order):
        state = after_receipt(state, receipt)

    assert state is State.DELIVERED


@pytest.mark.parametrize("state", sorted(set(State) - SENT))
def test_a_text_that_did_not_leave_takes_no_receipt(state: State) -> None:
    with pytest.raises(ValueError, match=f"from {state}"):
        after_receipt(state, State.DELIVERED)
