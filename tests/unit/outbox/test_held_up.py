"""What counts as a text that could have left, and what as one in doubt."""

from collections.abc import Callable
from datetime import datetime

import pytest

from gateway_adapters.contract import Ambiguous
from service.outbox.held_up import held_up_since, texts_in_doubt
from service.records.engine import Session, Sessions
from service.records.people import AssociationRow
from service.records.traffic import RouteRow
from tests.unit.outbox.queue import EVENING, NOW, answer, claimed, later, queued, spend

HOUR = 3600


def held(sessions: Sessions, *, association_id: int = 1, now: datetime) -> datetime | None:
    with sessions.read() as session:
        return held_up_since(session, association_id, now=now)


def test_the_earliest_due_text_says_since_when(outbox: Sessions) -> None:
    queued(outbox, "later", due_at=later(300))
    queued(outbox, "first")

    assert held(outbox, now=later(-1)) is None
    assert held(outbox, now=later(900)) == NOW
    assert held(outbox, association_id=2, now=later(900)) is None


def _stop(session: Session) -> None:
    session.get_one(RouteRow, 1).stopped_at = NOW


def _rest(session: Session) -> None:
    session.get_one(RouteRow, 1).paused_until = later(2 * HOUR)


def _retire(session: Session) -> None:
    session.get_one(RouteRow, 1).retired = True


def _spend_day(session: Session) -> None:
    session.get_one(RouteRow, 1).daily_segments = 6
    spend(session, 1, 1, 5, EVENING)  # one is left, and a digest may take two


def _spend_month(session: Session) -> None:
    session.get_one(AssociationRow, 1).monthly_segments = 6
    spend(session, 1, 1, 5, EVENING)


@pytest.mark.parametrize(
    "hinder",
    [
        pytest.param(_stop, id="stopped"),
        pytest.param(_rest, id="resting"),
        pytest.param(_retire, id="retired"),
        pytest.param(_spend_day, id="day nearly spent"),
        pytest.param(_spend_month, id="month nearly spent"),
    ],
)
def test_a_text_that_may_not_go_is_not_held_up(
    outbox: Sessions, hinder: Callable[[Session], None]
) -> None:
    queued(outbox)
    before = held(outbox, now=later(HOUR))
    with outbox.begin() as session:
        hinder(session)

    assert (before, held(outbox, now=later(HOUR))) == (NOW, None)


def test_an_answer_is_held_up_though_the_month_is_spent(outbox: Sessions) -> None:
    queued(outbox, "reminder")
    queued(outbox, "answer", evening=None, due_at=later(60))
    with outbox.begin() as session:
        _spend_month(session)

    assert held(outbox, now=later(HOUR)) == later(60)


def test_after_a_rest_the_waiting_counts_from_its_end(outbox: Sessions) -> None:
    queued(outbox)
    with outbox.begin() as session:
        session.get_one(RouteRow, 1).paused_until = later(1800)

    assert held(outbox, now=later(HOUR)) == later(1800)


def test_what_left_or_ran_out_is_not_held_up(outbox: Sessions) -> None:
    queued(outbox, "short", expires_at=later(60))
    over = held(outbox, now=later(60))
    queued(outbox, "left")
    claimed(outbox, now=later(61))

    assert (over, held(outbox, now=later(HOUR))) == (None, None)


def test_a_text_in_doubt_is_its_own_associations(outbox: Sessions) -> None:
    queued(outbox)
    answer(outbox, claimed(outbox), Ambiguous(reason="silence"))

    with outbox.read() as session:
        assert [texts_in_doubt(session, tenant) for tenant in (1, 2)] == [1, 0]
