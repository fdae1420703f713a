"""The one row of the last trusted instant, whoever of several processes writes to it."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import select

from service.records.clock_watch import (
    ClockWatchRow,
    Sayer,
    clock_watch,
    doubt_clock,
    end_doubt,
    first_trust,
    note_clock,
    raise_trusted,
    trust_clock,
)
from service.records.engine import Sessions
from service.records.people import AuditRow
from tests.unit.outbox.queue import two_tenants

NOON = datetime(2027, 3, 27, 12, 0, tzinfo=UTC)


def stored(sessions: Sessions) -> ClockWatchRow:
    with sessions.read() as session:
        row = clock_watch(session)
    assert row is not None
    return row


def kept(sessions: Sessions, *minutes: int) -> ClockWatchRow:
    """Keep instants one after the other, in minutes after noon; return the row."""
    with sessions.begin() as session:
        first_trust(session, NOON)
        for late in minutes:
            raise_trusted(session, NOON + timedelta(minutes=late))
    return stored(sessions)


def test_the_kept_instant_only_rises(sessions: Sessions) -> None:
    """Two processes four minutes apart: the slower one takes nothing back."""
    assert kept(sessions, 4, 0, 5, 1).trusted_at == NOON + timedelta(minutes=5)


def test_the_first_instant_is_kept_once(sessions: Sessions) -> None:
    kept(sessions, 3)
    with sessions.begin() as session:
        first_trust(session, NOON + timedelta(days=1))
        count = len(session.scalars(select(ClockWatchRow)).all())

    assert (count, stored(sessions).trusted_at) == (1, NOON + timedelta(minutes=3))


def test_a_doubt_is_noted_once_and_ended_once(sessions: Sessions) -> None:
    kept(sessions)
    with sessions.begin() as session:
        noted = [doubt_clock(session, NOON + timedelta(days=day)) for day in (30, 31)]
    during = stored(sessions)
    with sessions.begin() as session:
        ended = [end_doubt(session) for _ in range(2)]

    assert (noted, ended) == ([True, False], [True, False])
    assert during.doubted_at == NOON + timedelta(days=30)
    assert (stored(sessions).doubted_at, stored(sessions).trusted_at) == (None, NOON)


def test_a_person_may_trust_an_earlier_instant(sessions: Sessions) -> None:
    kept(sessions, 60)
    with sessions.begin() as session:
        doubt_clock(session, NOON)
        trust_clock(session, NOON)

    row = stored(sessions)
    assert (row.trusted_at, row.doubted_at) == (NOON, None)


def test_each_book_holds_what_happened_and_the_own_one_alone_the_name(sessions: Sessions) -> None:
    two_tenants(sessions)
    with sessions.begin() as session:
        note_clock(session, "clock doubted", {}, at=NOON)
        sayer = Sayer(who="Juma Test", association=2)
        note_clock(session, "clock confirmed", {}, at=NOON, sayer=sayer)

    with sessions.read() as session:
        found = [
            (row.association_id, row.what, row.who, row.origin)
            for row in session.scalars(select(AuditRow).order_by(AuditRow.id))
        ]
    assert found == [
        (1, "clock doubted", "", "clock"),
        (2, "clock doubted", "", "clock"),
        (1, "clock confirmed", "", "clock"),
        (2, "clock confirmed", "Juma Test", "form"),
    ]
