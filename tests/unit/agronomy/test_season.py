"""A season's plan from its facts."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dose_days import DropReason
from service.agronomy.season import Hold, Measure, SeasonFacts, Soil, plan_season
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonWarning
from service.errors import RefusedError

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def litres(facts: SeasonFacts) -> list[float]:
    return [round(dose.litres, 3) for dose in plan_season(facts).doses]


def test_a_plan_shares_the_usual_amount_over_seven_doses() -> None:
    plan = plan_season(replace(MAIZE, water_ratio=2))

    first = plan.doses[0]
    assert first == PlannedDose(
        number=1,
        due_on=date(2027, 3, 15),
        litres=first.litres,
        water_litres=first.litres * 2,
        closes_on=date(2027, 3, 21),
        given_on=None,
        usual_on=date(2027, 3, 15),
    )
    assert first.litres == pytest.approx(150 / 7)
    assert len(plan.doses) == 7
    assert (plan.target_litres, plan.warnings) == (150, ())


def test_emergence_is_assumed_until_reported() -> None:
    assumed, reported = (
        plan_season(MAIZE),
        plan_season(replace(MAIZE, emerged_on=date(2027, 3, 25))),
    )

    assert (assumed.emergence_on, assumed.emergence_assumed) == (date(2027, 3, 21), True)
    assert (reported.emergence_on, reported.emergence_assumed) == (date(2027, 3, 25), False)


def test_nothing_comes_up_before_it_is_planted() -> None:
    assert plan_season(replace(MAIZE, emerged_on=date(2027, 3, 1))).emergence_on == date(
        2027, 3, 15
    )


def test_a_dropped_dose_shares_its_litres_out() -> None:
    plan = plan_season(replace(MAIZE, emerged_on=date(2027, 4, 14)))

    assert plan.dropped == (
        DroppedDose(number=7, due_on=date(2027, 6, 9), reason=DropReason.AFTER_CUTOFF),
    )
    assert [round(dose.litres, 3) for dose in plan.doses] == [25.0] * 6


def test_a_given_dose_keeps_its_day_and_its_litres() -> None:
    facts = replace(
        MAIZE,
        emerged_on=date(2027, 4, 14),
        given={1: date(2027, 3, 16)},
        told_litres={1: 21.0},
    )

    first = plan_season(facts).doses[0]

    assert (first.due_on, first.closes_on, first.given_on) == (date(2027, 3, 16),) * 3
    assert litres(facts) == [21.0] + [25.8] * 5


def test_a_missed_dose_keeps_its_share() -> None:
    facts = replace(MAIZE, missed={3: date(2027, 4, 4)}, told_litres={3: 21.5})

    assert litres(facts) == [21.417, 21.417, 21.5, 21.417, 21.417, 21.417, 21.417]
    assert plan_season(facts).shortfall_litres == pytest.approx(0)


def test_a_dose_dropped_by_rule_frees_what_was_told() -> None:
    hold = Hold(first_on=date(2027, 4, 10), last_on=date(2027, 4, 13))
    facts = replace(MAIZE, told_litres={4: 21.5}, holds=(hold,))

    assert litres(facts) == [25.0] * 6


def test_a_dose_without_a_ready_container_is_dropped_even_when_closed() -> None:
    facts = replace(MAIZE, missed={1: date(2027, 3, 15)}, not_ready=frozenset({1}))

    assert [dose.reason.value for dose in plan_season(facts).dropped] == ["not-ready"]


def test_what_the_last_doses_cannot_hold_is_a_shortfall() -> None:
    facts = replace(MAIZE, first_harvest_on=date(2027, 5, 10))

    plan = plan_season(facts)

    assert (plan.cutoff_on, plan.cutoff_rule.value) == (date(2027, 4, 10), "one-month")
    assert litres(facts) == [42.857] * 3
    assert plan.shortfall_litres == pytest.approx(150 - 3 * 300 / 7)
    assert plan.warnings == (SeasonWarning.SHORTFALL,)


def test_rounding_alone_is_no_shortfall_to_warn_of() -> None:
    plan = plan_season(replace(MAIZE, area_m2=50.1, measure=Measure.GROWER))

    assert 0 < plan.shortfall_litres < 0.5
    assert plan.warnings == ()


def test_without_a_dose_the_shortfall_is_the_target() -> None:
    amaranth = SeasonFacts(crop=crop("amaranth"), planted_on=date(2027, 3, 15), area_m2=10)

    plan = plan_season(amaranth)

    assert (plan.doses, plan.shortfall_litres) == ((), 15)
    assert plan.warnings == (SeasonWarning.SHORTFALL, SeasonWarning.NO_DOSE_FITS)
    assert plan.dropped[0].reason is DropReason.NO_PLANTING_DOSE


def test_planted_out_seedlings_take_a_dose_that_sown_seed_does_not() -> None:
    amaranth = SeasonFacts(
        crop=crop("amaranth"), planted_on=date(2027, 3, 15), area_m2=10, transplanted=True
    )

    assert [dose.number for dose in plan_season(amaranth).doses] == [1]


@pytest.mark.parametrize("soil", [Soil.SALTY, Soil.DRY])
def test_poor_soil_halves_target_and_limits(soil: Soil) -> None:
    at_limit = replace(MAIZE, soil=soil, litres_per_m2=6)

    assert sum(litres(replace(MAIZE, soil=soil))) == pytest.approx(75, abs=0.01)
    assert plan_season(at_limit).warnings == (SeasonWarning.OVER_3_L_PER_M2,)


def test_twice_the_usual_amount_is_not_yet_warned_of() -> None:
    assert plan_season(replace(MAIZE, litres_per_m2=3)).warnings == ()
    assert plan_season(replace(MAIZE, litres_per_m2=3.01)).warnings == ("over-3-l-per-m2",)


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        pytest.param(replace(MAIZE, crop=crop("dry-bean")), "legume", id="legume"),
        pytest.param(replace(MAIZE, crop=crop("coffee")), "perennial", id="perennial"),
        pytest.param(replace(MAIZE, area_m2=0), "area", id="area"),
        pytest.param(replace(MAIZE, water_ratio=11), "water", id="water"),
        pytest.param(replace(MAIZE, litres_per_m2=6.01), "over-ceiling", id="amount"),
    ],
)
def test_unsafe_facts_are_refused(facts: SeasonFacts, code: str) -> None:
    with pytest.raises(RefusedError) as refused:
        plan_season(facts)

    assert refused.value.code == code
