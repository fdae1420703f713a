"""Why the doses of a crop that bears for years fall into the rains."""

from datetime import date

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.explain import explain
from service.agronomy.perennial import perennial_rule
from service.agronomy.reasons import About, RuleId
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.watering import SeasonSpan

BANANA = SeasonFacts(
    crop=crop("banana"),
    planted_on=date(2027, 1, 1),
    area_m2=100,
    first_harvest_on=date(2027, 8, 1),
    spans=(
        SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 4, 15)),
        SeasonSpan(season=Season.RAINS, first_on=date(2027, 4, 16), last_on=date(2027, 5, 31)),
    ),
)


def test_a_dose_counts_from_the_beginning_of_its_rains() -> None:
    """Two spells that touch are one: every dose counts from 1 March."""
    plan = plan_season(BANANA)
    why = explain(BANANA, plan)

    steps = [why.of(About.DOSE_DAY, dose.number)[0] for dose in plan.doses]

    assert {step.rule for step in steps} == {RuleId.IN_RAINS}
    assert {step.values["rain_on"] for step in steps} == {date(2027, 3, 1)}
    assert {step.origin for step in steps} == {perennial_rule().origin}
    assert len(steps) > 2


def test_a_crop_that_goes_on_bearing_keeps_a_month_before_each_picking() -> None:
    chain = explain(BANANA, plan_season(BANANA)).of(About.CUTOFF)

    assert [step.rule for step in chain] == [RuleId.PICKING_MONTH, RuleId.CUTOFF_BEARS_ON]
    assert chain[0].values == {"days": 30, "harvest_on": date(2027, 8, 1)}
