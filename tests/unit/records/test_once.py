"""Doing it twice equals doing it once."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import func, select

from service.errors import RefusedError
from service.records.engine import Sessions
from service.records.fields import HoldRow, Source
from service.records.holds import add_hold
from service.records.once import insert_once
from service.records.people import AreaRow, AuditRow
from service.records.pretend import move_pretend_clock, pretend_now
from service.records.routes import RouteFacts, ensure_route
from service.records.tasks import (
    Task,
    audit,
    close_task,
    known_task_keys,
    open_task,
    open_tasks,
)
from service.records.traffic import RouteRow, TaskKind
from tests.unit.outbox.queue import NOW, later, two_tenants

AREA = {"association_id": 1, "code": "W", "name": "West"}


def areas(sessions: Sessions) -> int:
    with sessions.read() as session:
        return session.execute(select(func.count()).select_from(AreaRow)).scalar_one()


def test_the_second_insert_of_a_key_is_none_and_changes_nothing(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.begin() as session:
        first = insert_once(session, AreaRow, AREA)
        second = insert_once(session, AreaRow, AREA | {"name": "Another West"})

    assert (first is not None, second, areas(sessions)) == (True, None, 2 + 1)
    with sessions.read() as session:
        assert session.get_one(AreaRow, first).name == "West"


def test_a_conflict_does_not_end_the_transaction(sessions: Sessions) -> None:
    two_tenants(sessions)

    with sessions.begin() as session:
        insert_once(session, AreaRow, AREA)
        insert_once(session, AreaRow, AREA)
        insert_once(session, AreaRow, AREA | {"code": "E"})

    assert areas(sessions) == 2 + 2


def test_a_task_is_opened_once_for_its_key_even_after_it_was_closed(sessions: Sessions) -> None:
    two_tenants(sessions)
    task = Task(kind=TaskKind.SILENT, key="1:2027-03-15", dose_id=1)

    with sessions.begin() as session:
        first = open_task(session, 1, task, now=NOW)
        assert first is not None
        close_task(session, 1, first, outcome="done", now=later(5))
        second = open_task(session, 1, task, now=later(9))
        other_kind = open_task(
            session, 1, Task(kind=TaskKind.NOT_TOLD, key="1:2027-03-15"), now=NOW
        )

    with sessions.read() as session:
        assert (second, [row.id for row in open_tasks(session, 1)]) == (None, [other_kind])
        keys = {"silent:1:2027-03-15", "not-told:1:2027-03-15"}
        assert known_task_keys(session, 1, [*keys, "silent:2:2027-03-15"]) == keys


def test_a_route_is_made_once_and_follows_the_settings(sessions: Sessions) -> None:
    two_tenants(sessions, rate_per_s=5)
    facts = RouteFacts(name="other", adapter="fake", sender="15050", rate_per_s=0.2)
    faster = RouteFacts(name="other", adapter="smpp", sender="15051", rate_per_s=40)

    with sessions.begin() as session:
        first = ensure_route(session, 1, facts, now=NOW).id
        tokens = session.get_one(RouteRow, first).tokens
        second = ensure_route(session, 1, faster, now=later(60)).id
        row = session.get_one(RouteRow, first)
        seen = (row.adapter, row.sender, row.rate_per_s, row.tokens_at)

    assert (first, tokens) == (second, 1.0)
    assert seen == ("smpp", "15051", 40, NOW)


@pytest.mark.parametrize(
    ("last_on", "kept"),
    [
        pytest.param(date(2027, 3, 17), date(2027, 3, 18), id="a shorter one changes nothing"),
        pytest.param(date(2027, 3, 22), date(2027, 3, 22), id="a longer one stands"),
    ],
)
def test_of_two_holds_from_the_same_day_the_longer_stands(
    sessions: Sessions, last_on: date, kept: date
) -> None:
    two_tenants(sessions)

    with sessions.begin() as session:
        for day in (date(2027, 3, 18), last_on):
            add_hold(
                session,
                1,
                1,
                first_on=date(2027, 3, 16),
                last_on=day,
                source=Source.TEXT,
                now=NOW,
            )

    with sessions.read() as session:
        (hold,) = session.scalars(select(HoldRow)).all()
        assert (hold.first_on, hold.last_on) == (date(2027, 3, 16), kept)


def test_the_pretended_time_only_moves_forward(sessions: Sessions) -> None:
    with sessions.begin() as session:
        before = pretend_now(session)
        move_pretend_clock(session, later(10))
        move_pretend_clock(session, later(10))
        move_pretend_clock(session, later(20))
    with (
        pytest.raises(RefusedError, match="only moves forward") as caught,
        sessions.begin() as session,
    ):
        move_pretend_clock(session, later(19))

    with sessions.read() as session:
        assert (before, pretend_now(session)) == (None, later(20))
    assert caught.value.code == "clock"


def test_an_audit_row_belongs_to_the_association_it_is_written_for(sessions: Sessions) -> None:
    two_tenants(sessions)
    entry = AuditRow(
        at=datetime(2027, 3, 14, tzinfo=UTC),
        who="coordinator",
        what="import",
        subject="association",
        subject_id=1,
        origin="cli",
        detail={"added": 3},
    )

    with sessions.begin() as session:
        audit(session, 2, entry)

    with sessions.read() as session:
        row = session.scalars(select(AuditRow)).one()
        assert (row.association_id, row.detail) == (2, {"added": 3})
