"""A day to avoid, what a home collects, and its bottle: all may be left out."""

from dataclasses import replace
from datetime import date

import pytest

from service.enrolment.entries import Enrolment, HouseholdEntry
from service.enrolment.results import HouseholdChanged
from service.enrolment.steps import change_household
from service.records.fields import DoseRow
from service.records.people import HouseholdRow
from tests.unit.enrolment.table import ALONE, at_table, enrolled, refused, rules, whole_household
from tests.world import World
from tests.world_looks import rows

FRIDAY = 4


def habits(world: World) -> tuple[int | None, float, int | None]:
    """Return what the records hold of the household."""
    (row,) = rows(world, HouseholdRow)
    return row.avoid_weekday, row.collected_share, row.bottle_ml


def changed(world: World, entry: HouseholdEntry) -> tuple[str, ...]:
    outcome = at_table(world, lambda desk: change_household(desk, 1, entry, rules(world)))
    assert isinstance(outcome, HouseholdChanged)
    return outcome.columns


def test_what_nobody_told_is_no_day_all_of_it_and_no_bottle(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE))

    assert habits(world) == (None, 1.0, None)


def test_what_was_told_is_kept(world: World) -> None:
    told = replace(ALONE, avoid_weekday=FRIDAY, collected_share=62.5, bottle_ml=1500)
    enrolled(world, Enrolment(household=told))

    assert habits(world) == (FRIDAY, 0.625, 1500)


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        pytest.param("avoid_weekday", 7, "no-such-kind", id="an eighth day"),
        pytest.param("avoid_weekday", -1, "no-such-kind", id="a day before Monday"),
        pytest.param("collected_share", 100.5, "out-of-range", id="more than all"),
        pytest.param("collected_share", -1, "out-of-range", id="less than nothing"),
        pytest.param("bottle_ml", 249, "out-of-range", id="small bottle"),
        pytest.param("bottle_ml", 5001, "out-of-range", id="large bottle"),
    ],
)
def test_what_cannot_be_meant_is_refused(world: World, field: str, value: float, code: str) -> None:
    entry = HouseholdEntry(**{"alias": "Mango corner", "area_id": 1, field: value})  # type: ignore[arg-type]  # -- a row of the table

    assert refused(world, Enrolment(household=entry)) == [(field, code)]


def test_another_day_to_avoid_plans_the_household_anew(world: World) -> None:
    """Emergence assumed for 21 March: dose 2 on Sunday 28 March goes to Monday."""
    home = enrolled(world, whole_household())
    entry = replace(whole_household().household, avoid_weekday=6)

    assert changed(world, entry) == ("avoid_weekday",)
    assert home.planting is not None
    assert dose_on(world, 2) == date(2027, 3, 29)


def dose_on(world: World, number: int) -> date:
    """Return the day of a dose of the only planting."""
    (day,) = [row.due_on for row in rows(world, DoseRow) if row.number == number]
    return day


def test_a_cup_that_the_form_does_not_ask_for_is_not_lost(world: World) -> None:
    enrolled(world, Enrolment(household=replace(ALONE, cup_ml=400)))

    changed(world, replace(ALONE, adults=3))

    assert [row.cup_ml for row in rows(world, HouseholdRow)] == [400]
