"""The month between the last dose and the harvest."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.withholding import DoseStanding, earliest_harvest_on, last_possible_on

FIRST = DoseStanding(
    number=1,
    due_on=date(2027, 5, 2),
    closes_on=date(2027, 5, 8),
    given_on=date(2027, 5, 3),
    known_not_done=False,
)
LAST = DoseStanding(
    number=2,
    due_on=date(2027, 5, 16),
    closes_on=date(2027, 5, 22),
    given_on=None,
    known_not_done=False,
)


def test_harvest_waits_thirty_days() -> None:
    """WHO 2006, vol. 4, one month (from memory), taken as 30 days."""
    assert earliest_harvest_on(date(2027, 5, 16)) == date(2027, 6, 15)


def test_without_a_dose_nothing_has_to_wait() -> None:
    assert earliest_harvest_on(None) is None


@pytest.mark.parametrize(
    ("last", "today", "expected"),
    [
        pytest.param(LAST, date(2027, 5, 15), date(2027, 5, 3), id="its day is still to come"),
        pytest.param(LAST, date(2027, 5, 16), date(2027, 5, 22), id="its day has come, unknown"),
        pytest.param(LAST, date(2027, 6, 30), date(2027, 5, 22), id="long closed, unknown"),
        pytest.param(
            replace(LAST, known_not_done=True),
            date(2027, 6, 30),
            date(2027, 5, 3),
            id="known as not done",
        ),
        pytest.param(
            replace(LAST, given_on=date(2027, 5, 14)),
            date(2027, 5, 14),
            date(2027, 5, 14),
            id="given before its day",
        ),
        pytest.param(
            replace(LAST, given_on=date(2027, 6, 20)),
            date(2027, 6, 30),
            date(2027, 6, 20),
            id="given after its window",
        ),
    ],
)
def test_a_dose_that_may_have_been_given_counts(
    last: DoseStanding, today: date, expected: date
) -> None:
    assert last_possible_on([FIRST, last], today) == expected


def test_no_dose_counts_before_the_first_day() -> None:
    assert last_possible_on([LAST], date(2027, 5, 1)) is None
