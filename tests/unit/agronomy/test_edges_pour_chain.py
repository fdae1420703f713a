"""The values that a plan's water, sums and nitrogen are redone from."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.explain import explain
from service.agronomy.grounds import Grounds
from service.agronomy.reasons import About, Chain, RuleId
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.watering import SeasonSpan

SOWN_ON = date(2027, 3, 15)
MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=SOWN_ON, area_m2=50, water_ratio=2)


def chain(
    facts: SeasonFacts, about: About, number: int | None = None, grounds: Grounds | None = None
) -> Chain:
    return explain(facts, plan_season(facts), grounds).of(about, number)


def span(season: Season, first_on: date, last_on: date) -> SeasonSpan:
    return SeasonSpan(season=season, first_on=first_on, last_on=last_on)


def test_the_sums_are_those_of_all_doses() -> None:
    """1.5 L on each of 50 square metres, and twice as much water."""
    assert chain(MAIZE, About.TOTAL_URINE)[0].values == {"doses": 7, "litres": pytest.approx(75)}
    assert chain(MAIZE, About.TOTAL_WATER)[0].values == {
        "doses": 7,
        "water_litres": pytest.approx(150),
    }
    assert chain(MAIZE, About.SPREAD)[0].values == {
        "litres": pytest.approx(75),
        "area_m2": 50,
        "litres_per_m2": pytest.approx(1.5),
    }


def test_nitrogen_lies_between_its_bounds() -> None:
    """1.5 L a square metre at 5 g a litre are 75 kg a hectare; 45 at 3 g, 105 at 7 g."""
    content, band, carried = chain(MAIZE, About.NITROGEN)

    assert content.values == {"n_g_per_litre": 5}
    assert (band.values["low"], band.values["high"]) == (3, 7)
    assert (band.values["low_kg_per_ha"], band.values["high_kg_per_ha"]) == pytest.approx((45, 105))
    assert carried.values == {
        "litres_per_m2": pytest.approx(1.5),
        "n_g_per_litre": 5,
        "n_kg_per_ha": pytest.approx(75),
    }


def test_a_season_that_nobody_told_is_named_as_assumed() -> None:
    assumed = Grounds(season=Season.DRY, season_told=False)

    first, *_ = chain(MAIZE, About.DOSE_WATER, 1, assumed)

    assert (first.rule, first.values) == (RuleId.SEASON_ASSUMED, {"season": "dry"})
    assert first.origin is not None


def test_one_part_of_water_was_chosen() -> None:
    """The seasons alone give none or two."""
    found = chain(replace(MAIZE, water_ratio=1), About.DOSE_WATER, 1)

    assert [step.rule for step in found] == [RuleId.WATER_CHOSEN, RuleId.WATER]
    assert found[1].values["ratio"] == 1


@pytest.mark.parametrize(
    ("first_on", "last_on", "told"),
    [
        pytest.param(SOWN_ON, date(2027, 3, 20), True, id="its first day"),
        pytest.param(date(2027, 3, 1), SOWN_ON, True, id="its last day"),
        pytest.param(date(2027, 3, 1), date(2027, 3, 14), False, id="the day after it"),
        pytest.param(date(2027, 3, 16), date(2027, 3, 20), False, id="the day before it"),
    ],
)
def test_a_season_told_holds_from_its_first_day_to_its_last(
    first_on: date, last_on: date, *, told: bool
) -> None:
    facts = replace(MAIZE, spans=(span(Season.RAINS, first_on, last_on),))

    found = chain(facts, About.DOSE_WATER, 1)

    assert (found[0].rule is RuleId.IN_SPAN) is told


def test_of_seasons_told_for_one_day_the_last_one_is_named() -> None:
    spans = (
        span(Season.RAINS, date(2027, 3, 1), date(2027, 3, 20)),
        span(Season.DRY, date(2027, 3, 10), date(2027, 3, 31)),
    )

    found = chain(replace(MAIZE, spans=spans), About.DOSE_WATER, 1)

    assert (found[0].values["season"], found[0].values["first_on"]) == ("dry", date(2027, 3, 10))
    assert [step.rule for step in found[1:]] == [RuleId.WATER_DRY, RuleId.WATER]


def test_a_season_told_raises_what_was_chosen() -> None:
    dry = span(Season.DRY, date(2027, 3, 10), date(2027, 3, 31))

    found = chain(replace(MAIZE, spans=(dry,), water_chosen=1), About.DOSE_WATER, 1)

    assert found[1].rule is RuleId.WATER_RAISED
    assert found[1].values == {"chosen": 1, "ratio": 2}
