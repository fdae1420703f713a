"""A claim need not walk again past what has been taken, and still misses nothing for long."""

from service.outbox.claim import claim_due
from service.outbox.low_water import FROM_START_EVERY_S, START, LowWater, Place
from service.records.engine import Sessions
from tests.unit.outbox.queue import NOW, later, plain, queued

FIRST = Place(due_at=NOW, message_id=7)


def claimed_since(sessions: Sessions, since: Place) -> list[int]:
    with sessions.begin() as session:
        made = claim_due(session, 1, 1, now=NOW, limit=2, render=plain, since=since)
    return [] if made is None else [item.message_id for item in made.messages]


def test_a_new_look_begins_at_the_start_and_the_next_at_the_last_batch() -> None:
    water = LowWater()

    before = water.look_from(0.0)
    water.took(FIRST)

    assert (before, water.look_from(0.5)) == (START, FIRST)


def test_every_ten_seconds_a_look_begins_at_the_start() -> None:
    """Ten seconds: project choice."""
    water = LowWater()
    water.look_from(100.0)
    water.took(FIRST)

    looks = [water.look_from(100 + FROM_START_EVERY_S - 0.1), water.look_from(110.0)]

    assert looks == [FIRST, START]


def test_a_look_that_found_nothing_begins_again_once() -> None:
    water = LowWater()
    water.look_from(0.0)
    water.took(FIRST)

    assert [water.from_start(), water.from_start()] == [True, False]
    assert water.look_from(1.0) == START


def test_a_claim_from_a_place_on_leaves_what_lies_before_it(outbox: Sessions) -> None:
    early = queued(outbox, "early", due_at=later(-10))
    second = queued(outbox, "second")
    third = queued(outbox, "third")

    taken = claimed_since(outbox, Place(due_at=NOW, message_id=second))

    assert taken == [second, third]
    assert claimed_since(outbox, START) == [early]


def test_of_texts_of_one_instant_the_place_tells_which_was_first(outbox: Sessions) -> None:
    first, second = queued(outbox, "first"), queued(outbox, "second")

    taken = claimed_since(outbox, Place(due_at=NOW, message_id=second))

    assert taken == [second]
    assert claimed_since(outbox, START) == [first]


def test_a_claim_tells_the_place_of_its_first_text(outbox: Sessions) -> None:
    first = queued(outbox, "first", due_at=later(-5))
    queued(outbox, "second")

    with outbox.begin() as session:
        made = claim_due(session, 1, 1, now=NOW, limit=9, render=plain)

    assert made is not None
    assert made.first == Place(due_at=later(-5), message_id=first)
