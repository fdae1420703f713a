"""Why a plan's amounts and water are as they are, and where refusals come from.

Maize sown on 15 March 2027 on 100 square metres: 150 L over seven doses.
"""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.explain import explain
from service.agronomy.grounds import Figure, Grounds, local_grounds
from service.agronomy.local import LocalKey, LocalValue, local_figures
from service.agronomy.reason_origins import load_rule_origins, rule_origin
from service.agronomy.reasons import About, Chain, Explanation, RuleId
from service.agronomy.refusal_origins import refusal_origin
from service.agronomy.season import Measure, SeasonFacts, Soil, plan_season
from service.agronomy.tables import Found, TableError
from service.agronomy.watering import SeasonSpan

MAIZE = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)


def why(facts: SeasonFacts, grounds: Grounds | None = None) -> Explanation:
    return explain(facts, plan_season(facts), grounds)


def rules_of(chain: Chain) -> list[RuleId]:
    return [step.rule for step in chain]


def test_a_share_above_the_cap_is_capped_and_then_rounded() -> None:
    """Up on 10 May, exact and in a grower's measures."""
    exact = replace(MAIZE, emerged_on=date(2027, 5, 10), told_litres={1: 21.0})
    rounded = replace(exact, measure=Measure.GROWER)

    assert rules_of(why(exact).of(About.DOSE_AMOUNT, 2)) == [RuleId.EQUAL_SHARE, RuleId.CAPPED]
    assert rules_of(why(rounded).of(About.DOSE_AMOUNT, 2)) == [
        RuleId.EQUAL_SHARE,
        RuleId.CAPPED,
        RuleId.ROUNDED_DOWN,
    ]
    assert rules_of(why(rounded).of(About.DOSE_AMOUNT, 1)) == [RuleId.TOLD_STAYS]


@pytest.mark.parametrize(
    ("facts", "rule"),
    [
        pytest.param(
            replace(MAIZE, first_harvest_on=date(2027, 4, 10)), RuleId.NO_DOSE_LEFT, id="no dose"
        ),
        pytest.param(
            replace(MAIZE, first_harvest_on=date(2027, 4, 20)), RuleId.CAP_LEAVES_OVER, id="the cap"
        ),
        pytest.param(
            replace(MAIZE, told_litres=dict.fromkeys(range(1, 8), 20.0)),
            RuleId.TOLD_LEAVES_OVER,
            id="all told",
        ),
        pytest.param(
            replace(MAIZE, area_m2=100.1, measure=Measure.GROWER),
            RuleId.ROUNDING_LEAVES_OVER,
            id="rounding",
        ),
    ],
)
def test_litres_left_over_name_what_leaves_them(facts: SeasonFacts, rule: RuleId) -> None:
    chain = why(facts).of(About.SHORTFALL)

    assert rules_of(chain) == [rule, RuleId.LEFT_OVER]


def test_poor_soil_and_a_high_target_are_named() -> None:
    salty = replace(MAIZE, soil=Soil.SALTY, litres_per_m2=4)

    assert rules_of(why(salty).of(About.TARGET)) == [
        RuleId.LITRES_ENTERED,
        RuleId.POOR_SOIL,
        RuleId.OVER_WARNING,
        RuleId.AREA_TOLD,
        RuleId.ON_AREA,
    ]


@pytest.mark.parametrize(
    ("facts", "rules"),
    [
        pytest.param(MAIZE, [RuleId.WATER_RAINS], id="none"),
        pytest.param(replace(MAIZE, water_ratio=2), [RuleId.WATER_DRY], id="dry"),
        pytest.param(replace(MAIZE, water_ratio=3), [RuleId.WATER_CHOSEN], id="chosen"),
        pytest.param(
            replace(MAIZE, water_ratio=2, water_chosen=2), [RuleId.WATER_CHOSEN], id="chosen, two"
        ),
        pytest.param(
            replace(MAIZE, water_ratio=2, water_chosen=1), [RuleId.WATER_RAISED], id="too little"
        ),
        pytest.param(
            replace(
                MAIZE,
                water_ratio=2,
                spans=(
                    SeasonSpan(
                        season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 3, 20)
                    ),
                ),
            ),
            [RuleId.IN_SPAN, RuleId.WATER_RAINS],
            id="told rains",
        ),
    ],
)
def test_water_names_the_choice_or_the_season(facts: SeasonFacts, rules: list[RuleId]) -> None:
    assert rules_of(why(facts).of(About.DOSE_WATER, 1)) == [*rules, RuleId.WATER]


def test_local_figures_carry_their_own_source() -> None:
    """60 kg a hectare at 6 g a litre are 1 L a square metre."""
    values = [
        LocalValue(key=LocalKey.N_KG_PER_HA, value="60", source="Office"),
        LocalValue(key=LocalKey.N_G_PER_LITRE, value="6", source="Laboratory"),
        LocalValue(key=LocalKey.PATTERN, value="7,21", source="Ward"),
    ]
    figures = local_figures(MAIZE.crop, area_id=None, soil=Soil.NORMAL, values=values)
    facts = replace(
        MAIZE,
        crop=figures.crop,
        litres_per_m2=figures.litres_per_m2,
        after_emergence_days=figures.after_emergence_days,
    )

    found = why(facts, local_grounds(figures, sown_told=False, season=Season.RAINS))
    target, day = found.of(About.TARGET), found.of(About.DOSE_DAY, 3)

    assert [(step.rule, step.origin and step.origin.source) for step in target[:2]] == [
        (RuleId.NITROGEN_TARGET, "Office"),
        (RuleId.NITROGEN_CONTENT, "Laboratory"),
    ]
    assert target[2].values["litres_per_m2"] == 1
    assert day[0].origin is not None
    assert (day[0].origin.source, day[0].origin.found) == ("Ward", Found.LOCAL)
    assert found.of(About.DOSE_WATER, 1)[0].rule is RuleId.SEASON_TOLD


def test_a_nitrogen_target_that_the_litres_do_not_follow_is_left_aside() -> None:
    grounds = Grounds(n_kg_per_ha=Figure(value=60, origin=None))

    assert why(MAIZE, grounds).of(About.TARGET)[0].rule is RuleId.LITRES_USUAL


@pytest.mark.parametrize("code", ["area", "nitrogen", "over-ceiling", "water", "cold-store"])
def test_a_refusal_by_a_figure_names_the_figures_source(code: str) -> None:
    assert refusal_origin(code, MAIZE.crop) is not None


def test_a_refusal_by_the_crop_names_what_is_known_of_the_crop() -> None:
    cowpea = crop("cowpea")

    assert refusal_origin("legume", cowpea) == cowpea.origins["nature"]
    assert refusal_origin("usage", cowpea) is None


def test_rules_without_a_source_say_so() -> None:
    assert "no source" in rule_origin("equal-shares").source
    assert rule_origin("follows").found is Found.COMPUTED


def test_a_table_of_rules_with_one_missing_is_refused() -> None:
    with pytest.raises(TableError, match="missing or not known"):
        load_rule_origins('[turn]\nsource = "x"\nfound = "memory"\n')
