"""Water by the season of the day: common practice, no source."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.season import SeasonFacts, plan_season, water_on
from service.agronomy.watering import SeasonSpan, rains_known, season_on, water_ratio

RAINS = SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 4, 30))
DRY = SeasonSpan(season=Season.DRY, first_on=date(2027, 4, 20), last_on=date(2027, 6, 30))
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


@pytest.mark.parametrize(
    ("day", "season"),
    [
        pytest.param(date(2027, 2, 28), Season.DRY, id="before all spans"),
        pytest.param(date(2027, 3, 1), Season.RAINS, id="first day of the rains"),
        pytest.param(date(2027, 4, 19), Season.RAINS, id="rains"),
        pytest.param(date(2027, 4, 20), Season.DRY, id="both: the last entered stands"),
        pytest.param(date(2027, 6, 30), Season.DRY, id="last day of the dry season"),
        pytest.param(date(2027, 7, 1), Season.DRY, id="after all spans"),
    ],
)
def test_a_day_has_the_season_of_the_last_span_that_holds_it(day: date, season: Season) -> None:
    assert season_on(day, (RAINS, DRY), otherwise=Season.DRY) is season


@pytest.mark.parametrize(
    ("season", "chosen", "ratio"),
    [
        (Season.RAINS, None, 0),
        (Season.DRY, None, 2),
        (Season.RAINS, 1.0, 1),
        (Season.DRY, 1.0, 2),
        (Season.DRY, 3.0, 3),
    ],
)
def test_what_was_chosen_holds_but_never_less_than_the_season_asks(
    season: Season, chosen: float | None, ratio: float
) -> None:
    assert water_ratio(season, chosen) == ratio


def test_rains_are_known_where_a_span_of_them_is() -> None:
    assert rains_known((DRY, RAINS))
    assert not rains_known((DRY,))
    assert not rains_known(())


def test_the_water_of_each_dose_goes_by_the_season_of_its_day() -> None:
    facts = replace(MAIZE, water_ratio=2, spans=(RAINS, DRY))

    ratios = [dose.water_litres / dose.litres for dose in plan_season(facts).doses]

    assert ratios == pytest.approx([0, 0, 0, 0, 0, 2, 2])


def test_outside_every_span_the_plantings_own_ratio_holds() -> None:
    facts = replace(MAIZE, water_ratio=3, spans=(RAINS,))

    assert water_on(facts, date(2027, 5, 2)) == 3
    assert water_on(facts, date(2027, 4, 30)) == 0


def test_water_changes_nothing_about_the_urine() -> None:
    wet = replace(MAIZE, water_ratio=10)

    assert [dose.litres for dose in plan_season(wet).doses] == [
        dose.litres for dose in plan_season(MAIZE).doses
    ]


def test_a_plot_that_waits_for_a_decision_has_no_dose() -> None:
    plan = plan_season(replace(MAIZE, site_open=False))

    assert plan.doses == ()
    assert {dose.reason.value for dose in plan.dropped} == {"site"}
