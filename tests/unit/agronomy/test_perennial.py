"""A perennial's year: its doses over the rains."""

from datetime import date

import pytest

from service.agronomy.dosing import floor_to_step
from service.agronomy.perennial import (
    PerennialDose,
    Rain,
    load_perennial_rule,
    perennial_days,
    perennial_rule,
    perennial_shares,
)
from service.agronomy.tables import TableError, table_text

LONG = Rain(first_on=date(2027, 3, 1), last_on=date(2027, 5, 31))
SHORT = Rain(first_on=date(2027, 10, 10), last_on=date(2027, 12, 10))


def test_doses_come_a_fortnight_after_a_rain_begins_and_then_each_thirty_days() -> None:
    """Project choice, no source. Worked out on a calendar."""
    assert perennial_days([LONG, SHORT], []) == (
        date(2027, 3, 15),
        date(2027, 4, 14),
        date(2027, 5, 14),
        date(2027, 10, 24),
        date(2027, 11, 23),
    )


def test_the_order_in_which_rains_are_told_does_not_matter() -> None:
    assert perennial_days([SHORT, LONG], []) == perennial_days([LONG, SHORT], [])


@pytest.mark.parametrize(
    ("last_on", "doses"),
    [
        pytest.param(date(2027, 3, 14), 0, id="shorter than a fortnight"),
        pytest.param(date(2027, 3, 15), 1, id="over on the day of the dose"),
        pytest.param(date(2027, 4, 13), 1, id="over the day before the second"),
        pytest.param(date(2027, 4, 14), 2, id="over on the day of the second"),
    ],
)
def test_no_dose_falls_after_a_rain(last_on: date, doses: int) -> None:
    assert len(perennial_days([Rain(first_on=date(2027, 3, 1), last_on=last_on)], [])) == doses


@pytest.mark.parametrize(
    ("pick_on", "lost"),
    [
        pytest.param(date(2027, 5, 14), 1, id="30 days after the second dose: only the third"),
        pytest.param(date(2027, 5, 13), 1, id="29 days after the second: the second"),
        pytest.param(date(2027, 4, 14), 1, id="30 days after the first, on the second"),
        pytest.param(date(2027, 6, 13), 0, id="30 days after the last"),
        pytest.param(date(2027, 6, 12), 1, id="29 days after the last"),
        pytest.param(date(2027, 3, 14), 0, id="before all"),
    ],
)
def test_a_month_before_a_picking_is_kept_free(pick_on: date, lost: int) -> None:
    """WHO 2006, vol. 4 (from memory): one month, taken as 30 days."""
    assert len(perennial_days([LONG], [pick_on])) == 3 - lost


def test_every_picking_keeps_its_month_free() -> None:
    assert perennial_days([LONG], [date(2027, 3, 20), date(2027, 5, 20)]) == (date(2027, 4, 14),)


def test_rains_that_touch_are_one() -> None:
    """March to May told as two spells, one of them inside the other's end."""
    first = Rain(first_on=date(2027, 3, 1), last_on=date(2027, 4, 9))
    second = Rain(first_on=date(2027, 4, 10), last_on=date(2027, 5, 31))
    inside = Rain(first_on=date(2027, 4, 1), last_on=date(2027, 4, 5))

    assert perennial_days([first, second, inside], []) == perennial_days([LONG], [])


def test_a_rain_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="begins or later"):
        perennial_days([Rain(first_on=date(2027, 3, 2), last_on=date(2027, 3, 1))], [])


def test_a_years_litres_are_shared_alike() -> None:
    days = perennial_days([LONG, SHORT], [])

    shares = perennial_shares(100, days)

    assert [dose.litres for dose in shares.doses] == pytest.approx([20] * 5)
    assert [(dose.number, dose.on) for dose in shares.doses] == list(enumerate(days, start=1))
    assert shares.shortfall_litres == pytest.approx(0)


def test_a_year_with_few_doses_is_not_squeezed_into_them() -> None:
    """Project choice, no source: two sevenths of the year's litres a dose at most."""
    shares = perennial_shares(70, (date(2027, 3, 15), date(2027, 4, 14)))

    assert [dose.litres for dose in shares.doses] == pytest.approx([20, 20])
    assert shares.shortfall_litres == pytest.approx(30)


def test_shares_are_rounded_down_and_the_rest_goes_on() -> None:
    days = perennial_days([LONG, SHORT], [])

    shares = perennial_shares(51, days, rounded=floor_to_step)

    assert [dose.litres for dose in shares.doses] == [10, 10, 10, 10.5, 10.5]
    assert shares.doses[0] == PerennialDose(number=1, on=date(2027, 3, 15), litres=10)


def test_without_a_dose_the_whole_year_is_left_over() -> None:
    shares = perennial_shares(70, ())

    assert (shares.doses, shares.shortfall_litres) == ((), 70)


def test_the_days_of_perennials_are_a_project_choice() -> None:
    rule = perennial_rule()

    assert (rule.first_after_days, rule.every_days) == (14, 30)
    assert rule.origin.source.startswith("Project choice, no source")


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param("[rains]", "[reigns]", "write one table, rains.", id="table"),
        pytest.param("every_days = 30", "", "perennial.toml, rains: add every_days.", id="key"),
        pytest.param("every_days = 30", "every_days = 0", "must be more than 0.", id="no days"),
    ],
)
def test_a_wrong_table_of_perennials_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_perennial_rule(table_text("perennial.toml").replace(old, new))

    assert refused.value.sentence.endswith(sentence)
