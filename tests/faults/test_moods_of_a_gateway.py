"""A gateway in every mood, and a service that is killed again and again: each text ends once.

Refusals of a text and of the route, requests to go slower, silence of three kinds, submits that
run out of time, receipts before the answer, twice, late, never, in disorder, and of strangers;
each drawn by one seed, so that a run can be had again.
"""

from datetime import timedelta

import pytest

from tests.faults.nest_keeper import a_nest
from tests.faults.place import Place
from tests.faults.queue import fill, in_hand, left
from tests.peers.dice import Dice
from tests.unit.outbox.queue import NOW

SEED = 20_270_315
BATCH = 10  # the route's rate: what a kill leaves in doubt at most
POINTS = {  # and how often a step passes each of them
    **dict.fromkeys(("before-claim", "after-claim", "before-submit", "after-submit"), 1),
    **dict.fromkeys(("text-out", "after-receipt"), BATCH),
    "after-settle": 1,
}
STEP = timedelta(minutes=2, seconds=10)  # longer than a lease
REST = timedelta(minutes=31)  # longer than a route rests that has refused too often
PERCENT = 35  # of the steps are killed, where they come so far

pytestmark = [pytest.mark.slow, pytest.mark.long]


def test_each_text_ends_once_whatever_the_gateway_does_and_whoever_is_killed(
    place: Place, texts_in_moods: int
) -> None:
    """What is in doubt at the end was in a killed step's hand, or got no clear answer."""
    fill(place.sessions, texts_in_moods, at=NOW)
    dice, kills, at = Dice(SEED), 0, NOW

    with a_nest() as nest:
        while waiting := left(place.sessions) + in_hand(place.sessions):
            point = dice.pick(list(POINTS))
            crash = f"{point}:{dice.between(1, POINTS[point])}" if dice.happens(PERCENT) else ""
            kills += nest.killed(place.step(at, crash=crash, seed=SEED, rate_per_s=BATCH))
            rests = waiting == left(place.sessions) + in_hand(place.sessions) and not crash
            at += REST if rests else STEP
        assert not nest.killed(place.step(at + REST, seed=SEED))

    found = place.ledger()
    assert found.wrong == ()
    assert found.sent + found.over + found.in_doubt == texts_in_moods
    assert found.sent > texts_in_moods / 2
    assert kills > texts_in_moods / 50
    assert 0 < found.doubt_before_submit <= kills * BATCH
    assert 0 < found.doubt_behind_submit <= texts_in_moods / 5 + kills * BATCH
