"""What the check of everything says of a clock in doubt."""

from datetime import UTC, datetime, timedelta

import pytest

from service.outbox.clock_faults import clock_faults
from service.records.clock_watch import doubt_clock, first_trust
from service.records.engine import Sessions

NOON = datetime(2027, 3, 27, 12, 0, tzinfo=UTC)


def said(sessions: Sessions, moved: timedelta) -> list[str]:
    with sessions.read() as session:
        return clock_faults(session, NOON + moved)


def test_a_clock_that_nobody_watched_has_no_fault(sessions: Sessions) -> None:
    assert said(sessions, timedelta(days=900)) == []


@pytest.mark.parametrize(
    ("moved", "begins"),
    [
        pytest.param(timedelta(minutes=-4), [], id="a little behind"),
        pytest.param(timedelta(hours=26), [], id="a day later"),
        pytest.param(timedelta(minutes=-6), ["The clock has gone back: the service "], id="back"),
        pytest.param(timedelta(days=7), ["The service has not run since 2027-"], id="ahead"),
    ],
)
def test_a_fault_names_the_last_trusted_instant_and_what_to_do(
    sessions: Sessions, moved: timedelta, begins: list[str]
) -> None:
    with sessions.begin() as session:
        first_trust(session, NOON)

    lines = said(sessions, moved)

    assert [line[: len(begin)] for line, begin in zip(lines, begins, strict=True)] == begins
    assert all("2027-03-27 12:00 UTC" in line for line in lines)
    assert all("Nothing is sent meanwhile. Set the clock right" in line for line in lines)


def test_a_clock_that_only_ran_on_into_its_band_is_still_a_fault(sessions: Sessions) -> None:
    with sessions.begin() as session:
        first_trust(session, NOON)
        doubt_clock(session, NOON - timedelta(hours=1))

    (line,) = said(sessions, timedelta(minutes=1))

    assert line.startswith("A running service has doubted its clock since 2027-03-27 12:00 UTC.")
