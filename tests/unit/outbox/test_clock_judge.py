"""When a clock is in doubt: set back by more than 5 minutes, or ahead by more than 26 hours."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.outbox.clock_judge import Turn, turn_of, was_set, worth_keeping

NOON = datetime(2027, 3, 27, 12, 0, tzinfo=UTC)
INSTANTS = st.datetimes(
    min_value=datetime(2000, 1, 1),  # noqa: DTZ001 -- hypothesis wants them naive; the zone follows
    max_value=datetime(2100, 1, 1),  # noqa: DTZ001 -- the same
    timezones=st.sampled_from(
        [
            ZoneInfo(name)
            for name in ("UTC", "Europe/Berlin", "Africa/Dar_es_Salaam", "Asia/Kathmandu")
        ]
    ),
)
LEAST = timedelta(microseconds=1)
SPANS = st.timedeltas(min_value=timedelta(days=-4000), max_value=timedelta(days=4000))


@pytest.mark.parametrize(
    ("moved", "turn"),
    [
        pytest.param(timedelta(0), Turn.STEADY, id="not at all"),
        pytest.param(timedelta(minutes=-5), Turn.STEADY, id="back by five minutes"),
        pytest.param(timedelta(minutes=-5) - LEAST, Turn.BACK, id="back by more"),
        pytest.param(timedelta(hours=26), Turn.STEADY, id="ahead by 26 hours"),
        pytest.param(timedelta(hours=26) + LEAST, Turn.AHEAD, id="ahead by more"),
        pytest.param(timedelta(days=-20_000), Turn.BACK, id="a machine that starts in 1972"),
        pytest.param(timedelta(days=30), Turn.AHEAD, id="ahead by a month"),
    ],
)
def test_a_clock_is_in_doubt_beyond_its_band(moved: timedelta, turn: Turn) -> None:
    assert turn_of(NOON, NOON + moved) is turn


@given(INSTANTS, SPANS)
def test_only_the_span_between_two_instants_counts(trusted_at: datetime, moved: timedelta) -> None:
    now = trusted_at.astimezone(UTC) + moved
    steady = timedelta(minutes=-5) <= moved <= timedelta(hours=26)

    turn = turn_of(trusted_at.astimezone(UTC), now)

    assert (turn is Turn.STEADY) == steady
    if not steady:
        assert (turn is Turn.BACK) == (moved < timedelta(0))


@given(INSTANTS, st.timedeltas(min_value=timedelta(0), max_value=timedelta(hours=26)))
def test_the_zone_in_which_an_instant_is_written_changes_nothing(
    trusted_at: datetime, later: timedelta
) -> None:
    start = trusted_at.astimezone(UTC)
    now = (start + later).astimezone(ZoneInfo("Europe/Berlin"))

    assert turn_of(start, now) is Turn.STEADY


@pytest.mark.parametrize(
    ("zone", "first"),
    [
        pytest.param("Europe/Berlin", datetime(2027, 3, 28, tzinfo=UTC), id="the hour goes ahead"),
        pytest.param("Europe/Berlin", datetime(2027, 10, 31, tzinfo=UTC), id="the hour goes back"),
        pytest.param("Africa/Dar_es_Salaam", datetime(2028, 2, 28, 12, tzinfo=UTC), id="leap day"),
        pytest.param("Pacific/Apia", datetime(2027, 12, 31, tzinfo=UTC), id="the year ends"),
        pytest.param("Pacific/Apia", datetime(2011, 12, 29, 12, tzinfo=UTC), id="a day left out"),
    ],
)
def test_a_calendar_that_jumps_is_no_clock_that_does(zone: str, first: datetime) -> None:
    """Each minute of two days, as the wall clock of the place shows it.

    Berlin, 28 March 2027: 02:00 becomes 03:00; Samoa had no 30 December 2011 (tz database).
    """
    walls = [
        (first + timedelta(minutes=minute)).astimezone(ZoneInfo(zone)) for minute in range(2880)
    ]
    shown = {wall.replace(tzinfo=None) for wall in walls}

    assert len(shown) >= 2820  # the wall shows an hour twice at the most
    assert {
        turn_of(before.astimezone(UTC), now.astimezone(UTC)) for before, now in pairwise(walls)
    } == {Turn.STEADY}


@given(SPANS)
def test_an_instant_is_kept_anew_each_half_minute_and_never_an_earlier_one(
    moved: timedelta,
) -> None:
    assert worth_keeping(NOON, NOON + moved) == (moved >= timedelta(seconds=30))


@pytest.mark.parametrize(
    ("moved", "set_"),
    [
        pytest.param(timedelta(seconds=2), False, id="a tick"),
        pytest.param(timedelta(minutes=5), False, id="a slow tick"),
        pytest.param(timedelta(minutes=5) + LEAST, True, id="set ahead"),
        pytest.param(timedelta(minutes=-5), False, id="slewed back"),
        pytest.param(timedelta(minutes=-6), True, id="set back"),
    ],
)
def test_a_clock_that_runs_on_was_not_set(moved: timedelta, *, set_: bool) -> None:
    assert was_set(NOON, NOON + moved) is set_
