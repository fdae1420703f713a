"""The connection to the database is cut at every single call of the work, one call after another.

Just before the call, and just behind it, when it was carried out and nobody learns of that; then
the database is there again at once, or stays away until the round is over. Every call is tried:
the count goes on until a round ends without a cut.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import suppress
from itertools import count

import pytest

from service.records.faults import STORE_FAULTS
from service.records.traffic import InboundRow
from tests.faults.ledger import Ledger, compare
from tests.faults.place import Place
from tests.faults.round import Round, newest
from tests.faults.scissors import Cut

TEXTS = 1
IN_HAND = TEXTS + 1  # and the answer to a text from a phone
ALL_SENT = Ledger(sent=IN_HAND, waiting=0, over=0, doubt_behind_submit=0, doubt_before_submit=0)
LEAST_CALLS = 30  # fewer, and the scissors have missed some

pytestmark = pytest.mark.slow


@pytest.fixture
def sending(place: Place) -> Iterator[Round]:
    """A round over an empty queue."""
    made = Round(place)
    yield made
    made.close()


def after_each_cut(
    sending: Round, work: Callable[[], None], *, behind: bool, for_good: bool
) -> Iterator[tuple[str | None, Ledger]]:
    """Cut the work at each of its calls; yield where it stood, and what became of its texts."""
    for at in count(1):
        before = newest(sending.place.sessions)
        sending.fill(f"{at}", TEXTS)
        if work == sending.send:
            sending.take_in()
        with (
            suppress(*STORE_FAULTS),
            sending.scissors.cutting(Cut(at=at, behind=behind, for_good=for_good)),
        ):
            work()
        sending.wait_a_while()
        sending.run()  # it gives up a lease that stands, and sends what is queued again
        cut_at = sending.scissors.cut_at
        yield cut_at, compare(sending.place.sessions, sending.network, after=before)
        if cut_at is None:
            return


@pytest.mark.parametrize("behind", [False, True], ids=["before", "behind"])
def test_a_connection_cut_at_any_call_loses_nothing_and_leaves_nothing_in_doubt(
    sending: Round, *, behind: bool
) -> None:
    """The worker lives and knows what it handed over: no person has to ask the grower."""
    found = list(after_each_cut(sending, sending.run, behind=behind, for_good=False))

    assert len(found) > LEAST_CALLS
    assert [(at, ledger) for at, ledger in found if ledger != ALL_SENT] == []
    with sending.place.sessions.read() as session:
        heard = [row.text for row in session.query(InboundRow).order_by(InboundRow.id)]
    assert heard == sending.heard


@pytest.mark.parametrize("behind", [False, True], ids=["before", "behind"])
def test_a_database_that_stays_away_leaves_in_doubt_only_what_was_in_hand(
    sending: Round, *, behind: bool
) -> None:
    """In doubt: what was claimed and not settled. The log says on which side of the submit."""
    doubts = defaultdict(set)
    for at, ledger in after_each_cut(sending, sending.send, behind=behind, for_good=True):
        assert (ledger.wrong, ledger.waiting, ledger.over) == ((), 0, 0), at
        doubts[at].add((ledger.doubt_before_submit, ledger.doubt_behind_submit))

    none, kept, handed = (0, 0), (IN_HAND, 0), (0, IN_HAND)
    assert doubts == {
        "begun": {none},
        # behind the commit of a claim: it stands, and nobody learns of it
        "before-claim": {none, kept} if behind else {none},
        "after-claim": {kept},
        "after-submit": {handed, none} if behind else {handed},
        None: {none},
    }
