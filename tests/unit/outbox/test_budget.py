"""A route's segments a day: counted when they may leave, given back when they certainly did not."""

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from service.outbox.budget import month_left, month_spent, spent_today
from service.outbox.claim import drop_unwanted
from service.outbox.due import Due
from service.outbox.ways import ways
from service.records.engine import Sessions
from service.records.people import AssociationRow
from service.records.traffic import RouteDayRow, RouteRow
from tests.unit.outbox.queue import NOW, answer, claim, claimed, message, queued


def limited(sessions: Sessions, segments: int) -> None:
    with sessions.begin() as session:
        session.get_one(RouteRow, 1).daily_segments = segments


def spent(sessions: Sessions) -> list[int]:
    with sessions.read() as session:
        return list(session.scalars(select(RouteDayRow.segments).order_by(RouteDayRow.day)))


def long_text(row: Due) -> str:
    return "a" * 161 if row.dedupe_key == "long" else "a"


def test_no_more_is_claimed_than_the_day_has_segments_for(outbox: Sessions) -> None:
    limited(outbox, 2)
    ids = [queued(outbox, f"jobs:{number}") for number in range(3)]

    made = claimed(outbox)

    assert [item.message_id for item in made.messages] == ids[:2]
    assert claim(outbox) is None
    assert spent(outbox) == [2]


def test_a_text_of_two_segments_waits_where_one_is_left(outbox: Sessions) -> None:
    limited(outbox, 2)
    queued(outbox, "first")
    long_id = queued(outbox, "long")

    first = claim(outbox, render=long_text)

    assert first is not None
    assert len(first.messages) == 1
    assert claim(outbox, render=long_text) is None
    assert message(outbox, long_id).body is None  # what it says may still change


def test_the_next_local_day_has_a_budget_of_its_own(outbox: Sessions) -> None:
    """21:00 UTC is midnight in East Africa."""
    limited(outbox, 1)
    queued(outbox, "today")
    queued(outbox, "tomorrow", expires_at=NOW + timedelta(days=1))
    claimed(outbox)

    assert claim(outbox, now=NOW + timedelta(hours=5, minutes=59)) is None
    assert claim(outbox, now=NOW + timedelta(hours=6)) is not None
    assert spent(outbox) == [1, 1]


@pytest.mark.parametrize(
    ("outcome", "left"),
    [
        pytest.param(Accepted(gateway_ids=("g",)), 1, id="taken"),
        pytest.param(Ambiguous(reason="silence"), 1, id="in doubt"),
        pytest.param(Rejected(kind=RejectKind.PERMANENT), 0, id="refused for good"),
        pytest.param(Rejected(kind=RejectKind.TRANSIENT), 0, id="refused for now"),
        pytest.param(Rejected(kind=RejectKind.THROTTLED, scope=Scope.ROUTE), 0, id="throttled"),
    ],
)
def test_what_certainly_did_not_leave_is_given_back(
    outbox: Sessions, outcome: Outcome, left: int
) -> None:
    queued(outbox)

    answer(outbox, claimed(outbox), outcome)

    assert spent(outbox) == [left]


def test_what_is_no_longer_wanted_is_given_back(outbox: Sessions) -> None:
    queued(outbox)
    made = claimed(outbox)

    with outbox.begin() as session:
        drop_unwanted(session, 1, made, now=NOW, reason=lambda _row: "consent ended")

    assert spent(outbox) == [0]


def test_a_route_whose_day_is_spent_is_not_open(outbox: Sessions) -> None:
    limited(outbox, 1)
    queued(outbox)
    with outbox.read() as session:
        before = ways(session, 1, now=NOW)

    claimed(outbox)

    with outbox.read() as session:
        assert [way.is_open for way in before] == [True]
        assert [way.is_open for way in ways(session, 1, now=NOW)] == [False]


def ceiling(sessions: Sessions, segments: int) -> None:
    with sessions.begin() as session:
        session.get_one(AssociationRow, 1).monthly_segments = segments


def test_a_month_that_is_spent_lets_only_answers_and_safety_go(outbox: Sessions) -> None:
    ceiling(outbox, 1)
    queued(outbox, "first")
    held = queued(outbox, "second")
    answered = queued(outbox, "answer", kind="stop_ok", evening=None)
    safe = queued(outbox, "safety", kind="withdrawn")

    made = claimed(outbox)

    assert [item.message_id for item in made.messages] == [held - 1, answered, safe]
    assert claim(outbox) is None
    assert spent(outbox) == [3]


def test_held_texts_do_not_stand_before_an_answer(outbox: Sessions) -> None:
    ceiling(outbox, 1)
    queued(outbox, "first")
    claimed(outbox)
    for number in range(3):
        queued(outbox, f"jobs:{number}")
    answered = queued(outbox, "answer", kind="stop_ok", evening=None, due_at=NOW)

    made = claim(outbox, limit=2)

    assert made is not None
    assert [item.message_id for item in made.messages] == [answered]


def test_the_next_month_has_a_ceiling_of_its_own(outbox: Sessions) -> None:
    """March ends for East Africa at 21:00 UTC of the 31st."""
    ceiling(outbox, 1)
    april = datetime(2027, 3, 31, 21, 0, tzinfo=UTC)
    queued(outbox, "march")
    queued(outbox, "april", expires_at=april + timedelta(hours=1))
    claimed(outbox)

    assert claim(outbox, now=april - timedelta(seconds=1)) is None
    assert claim(outbox, now=april) is not None


def test_all_routes_of_an_association_count_for_its_month(outbox: Sessions) -> None:
    ceiling(outbox, 5)
    with outbox.begin() as session:
        for tenant in (1, 2):
            session.add(
                RouteDayRow(association_id=tenant, route_id=tenant, day=NOW.date(), segments=4)
            )
        session.flush()
        assert month_spent(session, 1, NOW.date()) == 4
        assert month_left(session, 1, NOW.date()) == 1
        assert month_left(session, 2, NOW.date()) is None


def test_what_left_today_is_told_by_route_and_to_its_own_association(outbox: Sessions) -> None:
    queued(outbox, "first")
    queued(outbox, "long")
    claim(outbox, render=long_text)

    with outbox.read() as session:
        assert spent_today(session, 1, NOW.date()) == {1: 3}
        assert spent_today(session, 1, date(2027, 1, 1)) == {}
        assert spent_today(session, 2, NOW.date()) == {}
