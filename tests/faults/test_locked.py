"""Another process holds the database's lock for longer than anybody waits: nothing is lost.

The lock is taken at each point of a round, and given back either while the worker waits with what
the gateway said, or only when the round has failed.
"""

from collections.abc import Iterator
from contextlib import suppress

import pytest

from service.records.faults import STORE_FAULTS
from tests.faults.holder import Holder, a_holder, wait_shortly
from tests.faults.ledger import Ledger, compare
from tests.faults.place import Place
from tests.faults.round import Round, newest

TEXTS = 3
IN_HAND = TEXTS + 1  # and the answer to a text from a phone
ALL_SENT = Ledger(sent=IN_HAND, waiting=0, over=0, doubt_behind_submit=0, doubt_before_submit=0)
POINTS = (
    *("begun", "before-claim", "after-claim", "before-submit", "after-submit", "after-settle"),
    *("taking in", "after-receipt"),
)
DOUBT = {
    "after-claim": (IN_HAND, 0),  # nobody could write down that nothing had left
    "before-submit": (0, IN_HAND),
    "after-submit": (0, IN_HAND),
}

pytestmark = pytest.mark.slow


@pytest.fixture
def holder(place: Place) -> Iterator[Holder]:
    """Another process, which does not hold the lock yet."""
    with a_holder(place.url) as made:
        yield made


@pytest.fixture
def sending(place: Place) -> Iterator[Round]:
    """A round whose worker waits only a moment for a lock."""
    made = Round(place)
    wait_shortly(made.sessions.engine)
    yield made
    made.close()


def after_lock(sending: Round, holder: Holder, point: str) -> Ledger:
    """Lock the database from a point on; let the rounds after it go on."""
    before = newest(sending.place.sessions)
    sending.fill(f"{POINTS.index(point)}", TEXTS)
    sending.on_point = lambda passed: holder.hold() if passed == point else None
    with suppress(*STORE_FAULTS):
        sending.run()
    sending.on_point = lambda _: None
    holder.let_go()
    sending.wait_a_while()
    sending.run()
    return compare(sending.place.sessions, sending.network, after=before)


def test_a_lock_that_ends_while_the_worker_waits_leaves_nothing_in_doubt(
    sending: Round, holder: Holder
) -> None:
    sending.on_pause = holder.let_go

    found = {point: after_lock(sending, holder, point) for point in POINTS}

    assert found == dict.fromkeys(POINTS, ALL_SENT)


def test_a_lock_that_outlasts_all_patience_leaves_in_doubt_only_what_was_in_hand(
    sending: Round, holder: Holder
) -> None:
    found = {point: after_lock(sending, holder, point) for point in POINTS}

    assert {point: ledger.wrong for point, ledger in found.items() if ledger.wrong} == {}
    assert {ledger.sent + ledger.in_doubt for ledger in found.values()} == {IN_HAND}
    assert {
        point: (ledger.doubt_before_submit, ledger.doubt_behind_submit)
        for point, ledger in found.items()
        if ledger.in_doubt
    } == DOUBT
