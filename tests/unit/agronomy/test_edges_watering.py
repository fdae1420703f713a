"""Water by the season of a day; two parts in the dry season are common practice, no source."""

from datetime import date

import pytest

from service.agronomy.dosing import Season
from service.agronomy.watering import SeasonSpan, season_on, water_ratio

RAINS = SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 5, 31))
DRY_WEEK = SeasonSpan(season=Season.DRY, first_on=date(2027, 4, 5), last_on=date(2027, 4, 11))


@pytest.mark.parametrize(
    ("season", "chosen", "ratio"),
    [
        pytest.param(Season.RAINS, None, 0, id="rains, nothing chosen"),
        pytest.param(Season.RAINS, 1, 1, id="rains, one part chosen"),
        pytest.param(Season.DRY, None, 2, id="dry, nothing chosen"),
        pytest.param(Season.DRY, 1, 2, id="dry, one part chosen for the rains"),
        pytest.param(Season.DRY, 2.5, 2.5, id="dry, more chosen"),
    ],
)
def test_what_was_chosen_holds_but_never_less_than_the_season_asks_for(
    season: Season, chosen: float | None, ratio: float
) -> None:
    assert water_ratio(season, chosen) == ratio


@pytest.mark.parametrize(
    ("day", "season"),
    [
        pytest.param(date(2027, 2, 28), Season.DRY, id="the day before the rains"),
        pytest.param(date(2027, 3, 1), Season.RAINS, id="the first day of the rains"),
        pytest.param(date(2027, 4, 4), Season.RAINS, id="the day before the dry week"),
        pytest.param(date(2027, 4, 5), Season.DRY, id="the dry week's first day"),
        pytest.param(date(2027, 4, 11), Season.DRY, id="the dry week's last day"),
        pytest.param(date(2027, 4, 12), Season.RAINS, id="the day after the dry week"),
        pytest.param(date(2027, 5, 31), Season.RAINS, id="the last day of the rains"),
        pytest.param(date(2027, 6, 1), Season.DRY, id="the day after the rains"),
    ],
)
def test_the_last_span_told_that_holds_a_day_names_its_season(day: date, season: Season) -> None:
    assert season_on(day, [RAINS, DRY_WEEK], otherwise=Season.DRY) is season
