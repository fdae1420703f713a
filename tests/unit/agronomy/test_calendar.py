"""Day arithmetic."""

from datetime import date

import pytest

from service.agronomy.calendar import HALF_YEAR_DAYS, MONTH_DAYS, add_days, days_between


@pytest.mark.parametrize(
    ("day", "days", "expected"),
    [
        pytest.param(date(2028, 2, 28), 1, date(2028, 2, 29), id="into a leap day"),
        pytest.param(date(2027, 2, 28), 1, date(2027, 3, 1), id="over the end of February"),
        pytest.param(date(2027, 3, 15), -30, date(2027, 2, 13), id="a month back"),
        pytest.param(date(2027, 3, 15), 0, date(2027, 3, 15), id="no days"),
    ],
)
def test_days_are_added_across_months(day: date, days: int, expected: date) -> None:
    assert add_days(day, days) == expected


def test_days_between_counts_from_the_first_date() -> None:
    assert days_between(date(2027, 3, 15), date(2027, 4, 14)) == MONTH_DAYS
    assert days_between(date(2027, 7, 2), date(2027, 1, 1)) == -HALF_YEAR_DAYS + 1
