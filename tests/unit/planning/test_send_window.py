"""Quiet hours, evenings and days, in the association's own zone.

Quiet from 20:00 to 06:00 and reminders from 17:00: project choices, no trial was found. Offsets
are the zones' legal times (IANA tz database): Dar es Salaam +03:00, Kathmandu +05:45, Port-au-
Prince -05:00 and -04:00 in summer.
"""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from service.planning.send_window import (
    answer_window,
    at_local,
    daytime,
    evening,
    is_quiet,
    local_day,
    local_time,
    zone_of,
)

DAR, KATHMANDU, HAITI = (
    zone_of(name) for name in ("Africa/Dar_es_Salaam", "Asia/Kathmandu", "America/Port-au-Prince")
)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("clock", "quiet"),
    [
        ("05:59:59", True),
        ("06:00", False),
        ("19:59:59", False),
        ("20:00", True),
        ("23:59", True),
        ("00:00", True),
    ],
)
def test_nothing_starts_from_eight_in_the_evening_to_six(clock: str, *, quiet: bool) -> None:
    now = datetime.fromisoformat(f"2027-03-14T{clock}").replace(tzinfo=DAR)

    assert is_quiet(now.astimezone(UTC), DAR) is quiet


@pytest.mark.parametrize(
    ("zone", "opens", "closes"),
    [
        (DAR, "2027-03-14T15:00", "2027-03-14T17:00"),
        (KATHMANDU, "2027-03-14T12:15", "2027-03-14T14:15"),
        (HAITI, "2027-03-14T22:00", "2027-03-15T00:00"),
    ],
    ids=["three hours ahead", "five and three quarters ahead", "summer time begins that day"],
)
def test_an_evening_is_from_the_households_minute_to_eight_local(
    zone: ZoneInfo, opens: str, closes: str
) -> None:
    window = evening(date(2027, 3, 14), 18 * 60, zone)

    assert (window.opens_at, window.closes_at) == (utc(opens), utc(closes))


@pytest.mark.parametrize(
    ("now", "opens"),
    [
        pytest.param("2027-03-14T02:00", "2027-03-14T03:00", id="before six: today from six"),
        pytest.param("2027-03-14T10:00", "2027-03-14T03:00", id="by day: the day it is"),
        pytest.param("2027-03-14T16:59", "2027-03-14T03:00", id="a minute before eight: still"),
        pytest.param("2027-03-14T17:00", "2027-03-15T03:00", id="at eight: tomorrow"),
        pytest.param("2027-03-14T21:30", "2027-03-15T03:00", id="after midnight: that morning"),
    ],
)
def test_daytime_is_the_current_or_the_next_day_from_six_to_eight(now: str, opens: str) -> None:
    window = daytime(utc(now), DAR)

    assert window.opens_at == utc(opens)
    assert (window.closes_at - window.opens_at).total_seconds() == 14 * 3600


def test_a_farm_day_begins_at_local_midnight() -> None:
    late = utc("2027-03-14T21:00")

    assert (local_day(late, DAR), local_day(late, HAITI)) == (
        date(2027, 3, 15),
        date(2027, 3, 14),
    )
    assert local_time(late, KATHMANDU).isoformat() == "02:45:00"


def test_a_local_time_is_given_in_utc() -> None:
    instant = at_local(date(2027, 3, 14), local_time(utc("2027-03-14T15:00"), DAR), DAR)

    assert instant == utc("2027-03-14T15:00")
    assert instant.tzinfo is UTC


def test_an_answer_goes_at_once_at_any_hour_and_for_a_day() -> None:
    now = utc("2027-03-14T23:30")

    window = answer_window(now)

    assert (window.opens_at, window.closes_at) == (now, utc("2027-03-15T23:30"))
