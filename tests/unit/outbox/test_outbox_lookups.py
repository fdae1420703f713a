"""What has gone to whom, as planning and the limits ask for it."""

from datetime import date
from typing import Any

import pytest

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind
from service.outbox.enqueue import DoseLink, cancel
from service.outbox.evenings import texts_left
from service.outbox.lookups import (
    Told,
    answers_since,
    bodies_since,
    evenings_used,
    keys_left,
    links_of,
    queued_started,
    told_of_doses,
    unknown_messages,
)
from service.records.engine import Sessions
from tests.unit.outbox.queue import EVENING, NOW, PHONE, answer, claimed, later, queued

PHONE_ID = 1

DUE = date(2027, 3, 15)
LINK = DoseLink(dose_id=1, revision=1, due_on=DUE)
SENT: dict[str, Outcome] = {
    "accepted": Accepted(),
    "perhaps sent": Ambiguous(reason="silence"),
    "refused": Rejected(kind=RejectKind.PERMANENT),
    "back in the queue": Rejected(kind=RejectKind.TRANSIENT),
}


def told(sessions: Sessions, tenant: int = 1) -> dict[int, Told]:
    with sessions.read() as session:
        return dict(told_of_doses(session, tenant, doses=[1]))


def used(sessions: Sessions, *, since: date = EVENING, tenant: int = 1) -> set[tuple[int, date]]:
    with sessions.read() as session:
        return evenings_used(session, tenant, phones=[PHONE_ID], since=since)


@pytest.mark.parametrize("named", SENT)
def test_a_dose_is_told_by_what_arrived_or_may_have_arrived(outbox: Sessions, named: str) -> None:
    queued(outbox, doses=(LINK,))
    waiting = told(outbox)

    answer(outbox, claimed(outbox), SENT[named])

    assert waiting == {}
    once = {1: Told(texts=1, days=frozenset({DUE}))}
    assert told(outbox) == (once if named in ("accepted", "perhaps sent") else {})
    assert told(outbox, tenant=2) == {}


def test_texts_about_a_dose_are_counted_with_the_days_they_told(outbox: Sessions) -> None:
    moved = DoseLink(dose_id=1, revision=2, due_on=date(2027, 3, 17))
    queued(outbox, "first", doses=(LINK,))
    queued(outbox, "repeat", doses=(LINK,))
    queued(outbox, "moved", doses=(moved,))
    queued(outbox, "answer", evening=None, doses=(LINK,))

    answer(outbox, claimed(outbox), Accepted(), Accepted(), Accepted(), Accepted())

    assert told(outbox) == {1: Told(texts=3, days=frozenset({DUE, moved.due_on}))}


@pytest.mark.parametrize("named", SENT)
def test_an_evening_is_used_by_whatever_was_tried_on_it(outbox: Sessions, named: str) -> None:
    message_id = queued(outbox)
    answer(outbox, claimed(outbox), SENT[named])

    assert used(outbox) == (set() if named == "back in the queue" else {(1, EVENING)})
    with outbox.read() as session:
        left = texts_left(session, 1, phones=[PHONE_ID], since=EVENING)
    assert left == ({} if named == "back in the queue" else {(1, EVENING): {message_id}})
    assert used(outbox, since=DUE) == set()
    assert used(outbox, tenant=2) == set()


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"evening": None}, id="an answer"),
        pytest.param({"kind": "withdrawn"}, id="a correction, beyond the limits"),
        pytest.param({"phone_id": None}, id="a number of nobody"),
    ],
)
def test_some_texts_use_no_evening(outbox: Sessions, changes: dict[str, Any]) -> None:
    queued(outbox, **changes)
    answer(outbox, claimed(outbox), Accepted())

    assert used(outbox) == set()


def test_a_key_has_left_once_its_text_was_tried_and_by_its_plain_name(outbox: Sessions) -> None:
    first = queued(outbox, "ready:1:2027", kind="ready")
    with outbox.begin() as session:
        cancel(session, 1, [first], now=NOW, why="no longer right")
    queued(outbox, "ready:1:2027", kind="ready")
    queued(outbox, "jobs:9")
    with outbox.read() as session:
        before = keys_left(session, 1, ("ready",), phones=[PHONE_ID])

    answer(outbox, claimed(outbox), Accepted(), Accepted())

    with outbox.read() as session:
        assert before == set()
        assert keys_left(session, 1, ("ready",), phones=[PHONE_ID]) == {"ready:1:2027"}
        assert keys_left(session, 1, ("ready", "dose"), phones=[PHONE_ID]) == {
            "ready:1:2027",
            "jobs:9",
        }
        assert keys_left(session, 2, ("ready",), phones=[PHONE_ID]) == set()


def test_started_texts_in_the_queue_are_those_with_an_evening(outbox: Sessions) -> None:
    started = queued(outbox, "started")
    queued(outbox, "answer", evening=None)

    with outbox.read() as session:
        assert [row.id for row in queued_started(session, 1, phones=[PHONE_ID])] == [started]
        assert queued_started(session, 2, phones=[PHONE_ID]) == []


def test_a_text_names_its_doses_for_its_own_association(outbox: Sessions) -> None:
    message_id = queued(outbox, doses=(LINK,))

    with outbox.read() as session:
        assert [link.dose_id for link in links_of(session, 1, message_id)] == [1]
        assert links_of(session, 2, message_id) == []


def test_unknown_texts_are_listed(outbox: Sessions) -> None:
    lost, _sent = queued(outbox, "lost"), queued(outbox, "sent")
    answer(outbox, claimed(outbox), Ambiguous(reason="silence"), Accepted())

    with outbox.read() as session:
        assert [row.id for row in unknown_messages(session, 1)] == [lost]
        assert unknown_messages(session, 2) == []


def test_answers_are_counted_by_number_kind_and_time(outbox: Sessions) -> None:
    queued(outbox, "help", evening=None, kind="help", due_at=later(-50))
    queued(outbox, "done", evening=None, kind="r_done")
    gone = queued(outbox, "gone", evening=None, kind="r_done")
    queued(outbox, "reminder")
    with outbox.begin() as session:
        cancel(session, 1, [gone], now=NOW, why="stopped")

    with outbox.read() as session:
        counts = [
            answers_since(session, 1, PHONE, since=later(-50)),
            answers_since(session, 1, PHONE, since=later(-49)),
            answers_since(session, 1, PHONE, since=later(-50), kinds=("help", "unread")),
            answers_since(session, 1, "+255100000002", since=later(-50)),
            answers_since(session, 2, PHONE, since=later(-50)),
        ]
    assert counts == [2, 1, 1, 0, 0]


def test_bodies_are_those_of_texts_written_since(outbox: Sessions) -> None:
    queued(outbox, "sent")
    claimed(outbox)
    queued(outbox, "waiting")

    with outbox.read() as session:
        found = [row.body for row in bodies_since(session, 1, PHONE, since=NOW)]
        late = bodies_since(session, 1, PHONE, since=later(1))
        foreign = bodies_since(session, 2, PHONE, since=NOW)
    assert (found, late, foreign) == (["text of sent"], [], [])
