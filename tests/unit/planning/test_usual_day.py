"""The day a dose had before it was given, and whether it was given late."""

from datetime import date

import pytest

from service.planning.usual_day import Course, is_late, usual_day

SOWN_ON = date(2027, 3, 15)


def a_course(**changes: object) -> Course:
    """Return maize sown on 15 March that came up on the 21st, with one difference."""
    facts: dict[str, object] = {
        "crop": "maize-grain",
        "planted_on": SOWN_ON,
        "emerged_on": date(2027, 3, 21),
        "given": {},
        "holds": (),
    }
    return Course(**(facts | changes))  # type: ignore[arg-type]  # -- a factory of one difference


@pytest.mark.parametrize(
    ("number", "day"),
    [
        pytest.param(1, date(2027, 3, 15), id="with sowing"),
        pytest.param(2, date(2027, 3, 28), id="a week after the plants were up"),
        pytest.param(7, date(2027, 5, 16), id="eight weeks after"),
    ],
)
def test_a_dose_has_the_day_of_the_pattern(number: int, day: date) -> None:
    assert usual_day(a_course(), number) == day


def test_an_emergence_not_told_of_is_assumed() -> None:
    """Maize comes up 6 days after sowing (AquaCrop), so dose 2 comes on day 13."""
    assert usual_day(a_course(emerged_on=None), 2) == date(2027, 3, 28)


def test_a_hold_moves_the_day() -> None:
    holds = ((date(2027, 3, 27), date(2027, 3, 29)),)

    assert usual_day(a_course(holds=holds), 2) == date(2027, 3, 30)


def test_a_dose_given_before_keeps_five_days_to_the_next() -> None:
    assert usual_day(a_course(given={2: date(2027, 4, 2)}), 3) == date(2027, 4, 7)


def test_what_is_given_later_does_not_move_a_dose() -> None:
    assert usual_day(a_course(given={4: date(2027, 4, 3)}), 3) == date(2027, 4, 4)


@pytest.mark.parametrize(
    ("given_on", "late"),
    [
        pytest.param(date(2027, 3, 26), False, id="two days early"),
        pytest.param(date(2027, 4, 3), False, id="on the last of its days"),
        pytest.param(date(2027, 4, 4), True, id="a day after them"),
    ],
)
def test_a_dose_is_late_when_its_days_are_over(given_on: date, *, late: bool) -> None:
    """Dose 2 comes on 28 March and stays open six days."""
    assert is_late(a_course(given={2: given_on}), 2) is late


def test_a_dose_that_a_hold_had_moved_is_not_late_by_its_old_day() -> None:
    """Dose 2 moves from 28 March to 2 April, and stays open to the 8th."""
    holds = ((date(2027, 3, 28), date(2027, 4, 1)),)

    assert not is_late(a_course(given={2: date(2027, 4, 8)}, holds=holds), 2)
    assert is_late(a_course(given={2: date(2027, 4, 9)}, holds=holds), 2)
