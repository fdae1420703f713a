"""Until when a dose may be told whose can became ready late: five days lie between two doses."""

from datetime import date

from service.agronomy.season_plan import PlannedDose
from service.planning.late import last_evening


def dose(number: int, due_on: date, closes_on: date) -> PlannedDose:
    return PlannedDose(
        number=number,
        due_on=due_on,
        litres=20,
        water_litres=0,
        closes_on=closes_on,
        given_on=None,
        usual_on=due_on,
    )


SECOND = dose(2, date(2027, 3, 28), date(2027, 4, 3))
THIRD = dose(3, date(2027, 4, 4), date(2027, 4, 10))
LAST = dose(7, date(2027, 5, 16), date(2027, 5, 22))


def test_it_is_poured_five_days_before_the_next_dose_at_the_latest() -> None:
    """Told on 29 March and poured on the 30th, with the next dose on 4 April."""
    assert last_evening(SECOND, (SECOND, THIRD)) == date(2027, 3, 29)


def test_the_last_dose_may_be_told_until_the_evening_before_its_window_ends() -> None:
    assert last_evening(LAST, (SECOND, THIRD, LAST)) == date(2027, 5, 21)


def test_a_dose_with_another_close_behind_it_is_told_on_its_eve_or_not_at_all() -> None:
    near = dose(3, date(2027, 3, 31), date(2027, 4, 4))

    assert last_evening(SECOND, (SECOND, near)) == date(2027, 3, 27)
