"""Days at the edge of a window, a hold and the five days between two doses.

Six days open and five between are project choices, no source.
"""

from collections.abc import Mapping
from datetime import date

import pytest

from service.agronomy.dose_days import (
    DayRules,
    DropReason,
    Slot,
    closes_on,
    pattern_days,
    place_doses,
)


def april(day: int) -> date:
    return date(2027, 4, day)


def placed(
    *,
    fixed: Mapping[int, date] | None = None,
    given_on: tuple[date, ...] = (),
    holds: tuple[tuple[date, date], ...] = (),
    cutoff_on: date = date(2027, 6, 6),
    avoided: tuple[int, ...] = (),
) -> dict[int, date]:
    """Return the days of doses 2 to 5 that stay; by their pattern 28 March, 4, 11, 18 April."""
    pattern = pattern_days(
        date(2027, 3, 15), date(2027, 3, 21), after_emergence_days=(7, 14, 21, 28)
    )
    slots = place_doses(
        DayRules(
            pattern=pattern,
            fixed=fixed or {},
            given_on=given_on,
            dropped={},
            holds=holds,
            cutoff_on=cutoff_on,
            avoided=avoided,
        )
    )
    return {slot.number: slot.on for slot in slots if slot.reason is None and slot.number > 1}


def slot(number: int, day: int) -> Slot:
    return Slot(number=number, on=april(day), usual_on=april(day))


@pytest.mark.parametrize(
    "days",
    [
        pytest.param((4, 9, 16), id="in order"),
        pytest.param((4, 16, 9), id="the one after next is nearer"),
    ],
)
def test_a_window_ends_on_the_day_before_the_nearest_dose_after_it(
    days: tuple[int, int, int],
) -> None:
    live = [slot(number, day) for number, day in enumerate(days, start=3)]

    assert closes_on(live[0], live, cutoff_on=date(2027, 6, 6)) == april(8)


def test_doses_before_it_do_not_end_a_window() -> None:
    live = [slot(2, 1), slot(3, 6)]

    assert closes_on(live[1], live, cutoff_on=date(2027, 6, 6)) == april(12)


def test_a_dose_keeps_off_the_latest_of_all_that_closed_before_it() -> None:
    closed = {2: april(8), 3: april(4)}

    assert placed(fixed=closed)[4] == april(13)


def test_a_dose_pushed_off_one_given_dose_is_pushed_off_the_next_one_too() -> None:
    """Doses 4 and 5 were given on 1 and 6 April, before dose 3 on its 4th."""
    early = {4: april(1), 5: april(6)}

    assert placed(fixed=early, given_on=(april(6), april(1)))[3] == april(11)


def test_a_held_dose_may_move_to_the_cutoff_itself_and_no_further() -> None:
    hold = (april(17), april(19))

    assert placed(holds=(hold,), cutoff_on=april(20))[5] == april(20)
    assert 5 not in placed(holds=(hold,), cutoff_on=april(19))


@pytest.mark.parametrize(
    ("hold", "day"),
    [
        pytest.param((april(18), april(18)), 19, id="its own day"),
        pytest.param((april(16), april(18)), 19, id="ends on its day"),
        pytest.param((april(18), april(20)), 21, id="begins on its day"),
        pytest.param((april(16), april(17)), 18, id="over the day before"),
        pytest.param((april(19), april(20)), 18, id="begins the day after"),
    ],
)
def test_a_hold_moves_a_dose_on_its_first_and_on_its_last_day(
    hold: tuple[date, date], day: int
) -> None:
    assert placed(holds=(hold,))[5] == april(day)


MONDAY, TUESDAY, WEDNESDAY, SUNDAY = 0, 1, 2, 6  # dose 4 is due on Sunday, 11 April


def test_a_dose_may_move_a_day_ahead_if_just_five_days_then_lie_between() -> None:
    given = {3: april(5)}

    days = placed(fixed=given, given_on=(april(5),), avoided=(SUNDAY, MONDAY))

    assert days[4] == april(10)


def test_a_dose_stays_on_its_day_if_only_four_days_would_lie_between() -> None:
    given = {3: april(6)}

    days = placed(fixed=given, given_on=(april(6),), avoided=(SUNDAY, MONDAY))

    assert days[4] == april(11)


def test_a_dose_may_move_a_day_on_to_the_cutoff_itself() -> None:
    assert placed(cutoff_on=april(12), avoided=(SUNDAY,))[4] == april(12)


def test_a_dose_may_move_a_day_ahead_to_the_day_of_planting() -> None:
    pattern = pattern_days(date(2027, 3, 15), date(2027, 3, 15), after_emergence_days=(1,))
    rules = DayRules(
        pattern=pattern,
        fixed={},
        given_on=(),
        dropped={1: DropReason.NO_PLANTING_DOSE},
        holds=(),
        cutoff_on=date(2027, 6, 6),
        avoided=(TUESDAY, WEDNESDAY),
    )

    assert [slot.on for slot in place_doses(rules)] == [date(2027, 3, 15), date(2027, 3, 15)]
