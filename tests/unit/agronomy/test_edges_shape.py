"""The shape of a season: which seasons share one, and what of it other code relies on."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.agronomy.crops import crop
from service.agronomy.season import Measure, SeasonFacts, Soil
from service.agronomy.season_end import days_of, end_of
from service.agronomy.shape import (
    Shape,
    forget_shapes,
    is_plain,
    season_shape,
    shape_shares,
    shapes_seen,
    target_litres,
)

PLANTED_ON = date(2027, 3, 15)
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=PLANTED_ON, area_m2=100)
LONG = replace(MAIZE, season_days=1_000, emerged_on=add_days(PLANTED_ON, 10))


def shape(facts: SeasonFacts) -> Shape:
    return season_shape(facts, days_of(facts))


@pytest.mark.parametrize(
    ("after", "last_days"),
    [
        pytest.param((7, 14, 21, 28, 42, 56), 56 + 1 + 6, id="the usual pattern"),
        pytest.param((), 0 + 1 + 6, id="one dose at planting"),
        pytest.param((7, 14), 14 + 1 + 6, id="weeks on end"),
        pytest.param((7, 13), 13 + 3 * 6 + 6, id="the last two near"),
        pytest.param((6, 13), 13 + 3 * 6 + 6, id="the first two near"),
        pytest.param((3, 6, 9, 12), 12 + 5 * 6 + 6, id="all near"),
    ],
)
def test_a_cut_off_after_the_last_day_of_any_dose_is_as_good_as_a_later_one(
    after: tuple[int, ...], last_days: int
) -> None:
    """A dose stays open for 6 days and gives way to a day to avoid by one.

    Where a week does not lie between two, each may push the next by 5 days and that one.
    """
    forget_shapes()

    for cutoff_days in (last_days - 1, last_days, last_days + 1, last_days + 50):
        harvest_on = add_days(PLANTED_ON, 10 + cutoff_days + MONTH_DAYS)
        shape(replace(LONG, after_emergence_days=after, first_harvest_on=harvest_on))

    assert shapes_seen() == (2, 2)


def test_what_was_seen_can_be_forgotten() -> None:
    shape(MAIZE)
    end = end_of(MAIZE, days_of(MAIZE))
    assert shapes_seen()[1] > 0
    assert end_of(MAIZE, days_of(MAIZE)) is end

    forget_shapes()

    assert shapes_seen() == (0, 0)
    assert end_of(MAIZE, days_of(MAIZE)) is not end
    assert end_of(MAIZE, days_of(MAIZE)) == end


def test_the_first_day_and_the_first_closing_are_those_of_the_first_dose() -> None:
    """Up on day 10, the doses fall on day 0, 17, 24 and so on; each stays open for 6 days."""
    found = shape(LONG)

    assert (found.first_due_days, found.first_closes_days) == (0, 6)
    assert found.numbers == (1, 2, 3, 4, 5, 6, 7)
    assert found.doses[1].due_days == 17


def test_a_season_too_short_for_a_dose_has_no_first_day() -> None:
    found = shape(replace(MAIZE, first_harvest_on=add_days(PLANTED_ON, MONTH_DAYS - 1)))

    assert (found.doses, found.first_due_days, found.first_closes_days) == ((), None, None)
    assert [drop.number for drop in found.dropped] == [1, 2, 3, 4, 5, 6, 7]


def test_plants_up_on_the_day_of_planting_or_before_count_from_planting() -> None:
    for up_on in (PLANTED_ON, add_days(PLANTED_ON, -1)):
        found = shape(replace(MAIZE, emerged_on=up_on))
        assert [dose.due_days for dose in found.doses] == [0, 7, 14, 21, 28, 42, 56]


@pytest.mark.parametrize(
    "lived",
    [
        pytest.param(replace(MAIZE, given={1: PLANTED_ON}), id="given"),
        pytest.param(replace(MAIZE, missed={1: PLANTED_ON}), id="missed"),
        pytest.param(replace(MAIZE, told_litres={1: 12.5}), id="told"),
        pytest.param(replace(MAIZE, not_ready=frozenset({1})), id="no can ready"),
    ],
)
def test_a_season_is_plain_until_a_dose_has_news(lived: SeasonFacts) -> None:
    assert is_plain(MAIZE) is True
    assert is_plain(lived) is False


def test_salty_soil_halves_the_litres_of_a_plot() -> None:
    """A project choice: 1.5 L a square metre, and half of that, on 100 m2."""
    assert target_litres(MAIZE, area_m2=100) == 150
    assert target_litres(replace(MAIZE, soil=Soil.SALTY), area_m2=100) == 75


def test_a_growers_shares_are_rounded_down_and_exact_ones_are_not() -> None:
    """150 L for seven doses are 21.43 L each, 21 L as a grower measures."""
    exact = shape_shares(shape(MAIZE), MAIZE, area_m2=100)
    rounded = shape_shares(shape(MAIZE), replace(MAIZE, measure=Measure.GROWER), area_m2=100)

    assert exact.litres[0] == pytest.approx(21.43, abs=0.01)
    assert rounded.litres[0] == 21
