"""What a plan is explained from, where nobody said more than its facts."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.explain import explain
from service.agronomy.grounds import Case, Grounds
from service.agronomy.reasons import About, RuleId
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.watering import SeasonSpan

SOWN_ON = date(2027, 3, 15)
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=SOWN_ON, area_m2=100)


def case(facts: SeasonFacts) -> Case:
    return Case(facts=facts, plan=plan_season(MAIZE), grounds=Grounds())


def rains(first_on: date, last_on: date) -> SeasonSpan:
    return SeasonSpan(season=Season.RAINS, first_on=first_on, last_on=last_on)


def test_without_grounds_sowing_was_entered_and_area_and_season_were_told() -> None:
    found = explain(MAIZE, plan_season(MAIZE), Grounds(season=Season.RAINS))

    assert found.of(About.PLANTED)[0].rule is RuleId.PLANTED_ENTERED
    assert found.of(About.AREA)[0].rule is RuleId.AREA_TOLD
    assert found.of(About.DOSE_WATER, 1)[0].rule is RuleId.SEASON_TOLD


@pytest.mark.parametrize(
    ("spans", "first_on"),
    [
        pytest.param((), SOWN_ON, id="no rains"),
        pytest.param((rains(date(2027, 3, 1), date(2027, 3, 20)),), date(2027, 3, 1), id="within"),
        pytest.param((rains(date(2027, 3, 1), SOWN_ON),), date(2027, 3, 1), id="their last day"),
        pytest.param(
            (rains(date(2027, 3, 1), date(2027, 3, 14)),), date(2027, 3, 1), id="the day after"
        ),
        pytest.param((rains(date(2027, 3, 1), date(2027, 3, 13)),), SOWN_ON, id="a dry day after"),
        pytest.param((rains(SOWN_ON, date(2027, 3, 20)),), SOWN_ON, id="their first day"),
        pytest.param(
            (rains(date(2027, 3, 1), date(2027, 3, 20)), rains(date(2027, 3, 5), SOWN_ON)),
            date(2027, 3, 1),
            id="the earlier of two",
        ),
        pytest.param(
            (rains(date(2027, 3, 10), SOWN_ON), rains(date(2027, 2, 1), date(2027, 3, 9))),
            date(2027, 2, 1),
            id="two that touch",
        ),
    ],
)
def test_a_day_counts_from_the_first_day_of_its_rains(
    spans: tuple[SeasonSpan, ...], first_on: date
) -> None:
    assert case(replace(MAIZE, spans=spans)).rain_before(SOWN_ON) == first_on


def test_a_dry_season_is_no_rain() -> None:
    dry = SeasonSpan(season=Season.DRY, first_on=date(2027, 3, 1), last_on=date(2027, 3, 20))

    assert case(replace(MAIZE, spans=(dry,))).rain_before(SOWN_ON) == SOWN_ON


def test_doses_before_and_after_a_number_leave_that_one_out() -> None:
    found = case(MAIZE)

    assert [dose.number for dose in found.before(3)] == [1, 2]
    assert [dose.number for dose in found.after(5)] == [6, 7]


def test_a_dose_without_a_can_did_not_close() -> None:
    late = date(2027, 4, 4)

    found = case(replace(MAIZE, missed={2: late, 3: late}, not_ready=frozenset({3})))

    assert found.closed == {2: late}


@pytest.mark.parametrize(("chosen", "expected"), [(None, False), (True, True), (False, False)])
def test_maize_is_planted_out_only_where_somebody_says_so(
    *, chosen: bool | None, expected: bool
) -> None:
    assert case(replace(MAIZE, transplanted=chosen)).transplanted is expected
