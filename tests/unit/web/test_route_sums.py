"""How many segments the coming evenings may take. Project choice: no outside source."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from service.agronomy.calendar import add_days
from service.records.route_list import OpenDose
from service.web.route_sums import Level, last_due, level_of, most_segments, next_evening

FIRST = date(2027, 3, 27)  # the first of the seven evenings; the last is 2 April
ZONE = ZoneInfo("Africa/Dar_es_Salaam")


def open_dose(due: int, *, closes: int | None = None, told: bool = False) -> OpenDose:
    """Return a dose due so many days after the first evening."""
    last = due + 6 if closes is None else closes
    return OpenDose(
        dose_id=7, due_on=add_days(FIRST, due), closes_on=add_days(FIRST, last), told=told
    )


@pytest.mark.parametrize(
    ("dose", "evenings"),
    [
        pytest.param(open_dose(1), [0, 2], id="tomorrow: told tonight, repeated in two evenings"),
        pytest.param(open_dose(1, closes=2), [0], id="closes on the day after the repeat's"),
        pytest.param(open_dose(1, closes=3), [0, 2], id="could still be done the day after"),
        pytest.param(open_dose(6), [5], id="its repeat lies beyond"),
        pytest.param(open_dose(7), [6], id="told on the last evening"),
        pytest.param(open_dose(8), [], id="told on the evening after"),
        pytest.param(open_dose(0, told=True), [1], id="today's, told of: its repeat"),
        pytest.param(open_dose(-1, told=True), [0], id="yesterday's, told of: its repeat tonight"),
        pytest.param(open_dose(-2, told=True), [], id="repeated before"),
        pytest.param(open_dose(0), [0, 1], id="today's, told of late"),
        pytest.param(open_dose(-1), [0], id="yesterday's, late or repeated, once"),
        pytest.param(open_dose(-5), [0], id="told of late on its last evening but one"),
        pytest.param(open_dose(-6), [], id="closes tonight"),
    ],
)
def test_on_which_evenings_a_dose_may_take_a_segment(dose: OpenDose, evenings: list[int]) -> None:
    found = most_segments([dose], FIRST, gone=())

    assert list(found) == [add_days(FIRST, past) for past in range(7)]
    assert [past for past in range(7) if found[add_days(FIRST, past)]] == evenings
    assert set(found.values()) <= {0, 1}


def test_a_text_of_tonight_that_has_left_is_not_counted_again() -> None:
    again = most_segments([open_dose(1)], FIRST, gone={7})
    other = most_segments([open_dose(1)], FIRST, gone={8})

    assert (sum(again.values()), sum(other.values())) == (1, 2)
    assert again[add_days(FIRST, 2)] == 1


def test_doses_add_up() -> None:
    assert most_segments([open_dose(1)] * 3, FIRST, gone=())[FIRST] == 3


def test_no_dose_due_later_is_told_of_in_these_evenings() -> None:
    assert last_due(FIRST) == add_days(FIRST, 7)


@pytest.mark.parametrize(
    ("spent", "ceiling", "level"),
    [
        (10**9, None, Level.FREE),
        (0, 1, Level.FREE),
        (1, 1, Level.SPENT),
        (79, 100, Level.FREE),
        (80, 100, Level.NEAR),
        (99, 100, Level.NEAR),
        (100, 100, Level.SPENT),
        (101, 100, Level.SPENT),
        (5, 7, Level.FREE),
        (6, 7, Level.NEAR),
    ],
)
def test_how_far_a_ceiling_is_used_up(spent: int, ceiling: int | None, level: Level) -> None:
    assert level_of(spent, ceiling) is level


@pytest.mark.parametrize(
    ("hour", "minute", "day"),
    [(0, 0, 27), (16, 59, 27), (17, 0, 28), (20, 59, 28), (21, 0, 28)],
)
def test_the_next_evening_ends_at_eight(hour: int, minute: int, day: int) -> None:
    """17:00 UTC is 20:00 there; at 21:00 UTC the next day has begun there."""
    now = datetime(2027, 3, 27, hour, minute, tzinfo=UTC)

    assert next_evening(now, ZONE) == date(2027, 3, day)
