"""How many days ago a written date or weekday is; the dates were checked with a wall calendar."""

from datetime import date

import pytest

from service.inbound.dates import figure_days_ago, weekday_days_ago

FRIDAY = date(2027, 3, 19)


@pytest.mark.parametrize(
    ("figure", "order", "days_ago"),
    [
        ("18/3", "dm", 1),
        ("3/18", "dm", 1),
        ("18/3", "md", 1),
        ("5/3", "dm", 14),
        ("4/3", "dm", None),
        ("3/4", "dm", None),
        ("12/3/27", "dm", 7),
        ("3/12/27", "md", 7),
        ("12/3/27", "md", None),
        ("12.3.2027", "dm", 7),
        ("2027-03-12", "md", 7),
        ("2027-13-12", "dm", None),
        ("12/3/127", "dm", None),
        ("12/3-2027", "dm", None),
        ("12.3", "dm", None),
        ("12-3", "dm", None),
        ("31/2", "dm", None),
        ("31/31/27", "dm", None),
        ("18/3/0000", "dm", None),
        ("10:30", "dm", None),
    ],
)
def test_a_written_date_is_so_many_days_ago_or_unsure(
    figure: str, order: str, days_ago: int | None
) -> None:
    assert figure_days_ago(figure, FRIDAY, order) == days_ago


def test_a_date_without_its_year_may_lie_in_the_year_before() -> None:
    assert figure_days_ago("28/12", date(2028, 1, 3), "dm") == 6


def test_a_leap_day_is_read_in_the_year_that_has_it() -> None:
    assert figure_days_ago("29/2", date(2028, 3, 2), "dm") == 2
    assert figure_days_ago("29/2", date(2027, 3, 2), "dm") is None


@pytest.mark.parametrize(
    ("weekday", "days_ago"), [(3, 1), (2, 2), (1, 3), (0, 4), (6, 5), (5, 6), (4, None)]
)
def test_a_weekday_is_the_latest_past_one_and_the_same_day_is_unsure(
    weekday: int, days_ago: int | None
) -> None:
    assert weekday_days_ago(weekday, FRIDAY) == days_ago
