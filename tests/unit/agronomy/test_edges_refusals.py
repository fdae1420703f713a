"""The last thing let through and the first refused, for limits that a form can hit exactly."""

from datetime import date

import pytest

from service.agronomy.refusals import check_amount, check_dates, check_year
from service.errors import RefusedError

PLANTED_ON, ENDS_ON = date(2027, 3, 15), date(2027, 7, 18)


@pytest.mark.parametrize("day", [date(2000, 1, 1), date(2099, 12, 31)], ids=str)
def test_a_day_of_this_century_is_let_through(day: date) -> None:
    check_year(day)


@pytest.mark.parametrize("day", [date(1999, 12, 31), date(2100, 1, 1)], ids=str)
def test_a_day_outside_this_century_is_refused_with_the_years_in_the_sentence(day: date) -> None:
    with pytest.raises(RefusedError, match="must lie in the years 2000 to 2099") as refused:
        check_year(day)

    assert refused.value.code == "dates"


@pytest.mark.parametrize("first_harvest_on", [None, ENDS_ON], ids=["at the end", "known"])
def test_plants_seen_first_on_the_day_of_harvest_are_no_contradiction(
    first_harvest_on: date | None,
) -> None:
    check_dates(
        planted_on=PLANTED_ON,
        emerged_on=ENDS_ON,
        first_harvest_on=first_harvest_on,
        season_ends_on=ENDS_ON,
    )


def test_plants_may_be_up_on_the_day_of_planting_out() -> None:
    check_dates(
        planted_on=PLANTED_ON, emerged_on=PLANTED_ON, first_harvest_on=None, season_ends_on=ENDS_ON
    )


def test_a_target_of_nothing_is_let_through() -> None:
    check_amount(0, share=1)


def test_a_target_below_nothing_is_refused() -> None:
    with pytest.raises(RefusedError) as refused:
        check_amount(-0.5, share=1)

    assert refused.value.code == "over-ceiling"
