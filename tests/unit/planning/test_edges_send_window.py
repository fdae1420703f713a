"""The minutes at which a day is looked at, and the hours at their edges.

Quiet hours and evening hours are project choices; Dar es Salaam is three hours ahead of UTC.
"""

from datetime import UTC, date, datetime

import pytest

from service.planning.send_window import daytime, evening, evening_stops, is_quiet, zone_of

DAR = zone_of("Africa/Dar_es_Salaam")
EVENING_HOURS = ["17:00", "17:30", "18:00", "18:30", "19:00", "19:30", "19:59"]


def local(clock: str, day: int = 14) -> datetime:
    return datetime.fromisoformat(f"2027-03-{day}T{clock}").replace(tzinfo=DAR).astimezone(UTC)


def stops(now: datetime) -> list[str]:
    return [f"{stop.astimezone(DAR):%d %H:%M}" for stop in evening_stops(now, DAR)]


@pytest.mark.parametrize("clock", ["00:00", "05:59"])
def test_from_midnight_a_day_is_looked_at_from_six_on(clock: str) -> None:
    assert stops(local(clock)) == ["14 06:00", *(f"14 {hour}" for hour in EVENING_HOURS)]


@pytest.mark.parametrize("clock", ["06:00", "12:00", "16:59"])
def test_from_six_on_a_day_is_looked_at_in_the_evening_alone(clock: str) -> None:
    assert stops(local(clock)) == [f"14 {hour}" for hour in EVENING_HOURS]


@pytest.mark.parametrize("clock", ["17:00", "19:59", "23:59"])
def test_from_five_in_the_evening_the_next_day_is_looked_at(clock: str) -> None:
    assert stops(local(clock)) == ["15 06:00", *(f"15 {hour}" for hour in EVENING_HOURS)]


@pytest.mark.parametrize(
    ("minute", "opens"),
    [(17 * 60, "17:00"), (17 * 60 + 1, "17:01"), (18 * 60 + 59, "18:59"), (19 * 60 + 59, "19:59")],
)
def test_a_households_minute_is_an_hour_and_a_minute_of_its_evening(
    minute: int, opens: str
) -> None:
    window = evening(date(2027, 3, 14), minute, DAR)

    assert (window.opens_at, window.closes_at) == (local(opens), local("20:00"))


@pytest.mark.parametrize(
    ("clock", "day"), [("00:00", 14), ("05:59", 14), ("19:59", 14), ("20:00", 15), ("23:59", 15)]
)
def test_the_days_hours_are_todays_until_eight_and_then_tomorrows(clock: str, day: int) -> None:
    window = daytime(local(clock), DAR)

    assert (window.opens_at, window.closes_at) == (local("06:00", day), local("20:00", day))


def test_nobody_is_disturbed_in_the_minute_before_six() -> None:
    assert is_quiet(local("05:59"), DAR)
    assert not is_quiet(local("06:00"), DAR)
