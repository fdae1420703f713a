"""Why a dose takes its water, what each plant gets of it, and what the season adds up to."""

from collections.abc import Iterator

from service.agronomy.dosing import Season, ml_per_plant, n_kg_per_ha, plants_on, usual_water_ratio
from service.agronomy.grounds import Case
from service.agronomy.reason_origins import rule_origin
from service.agronomy.reasons import Chain, Reason, RuleId, by_rule, told
from service.agronomy.rules import rules
from service.agronomy.season import water_on
from service.agronomy.season_plan import PlannedDose
from service.agronomy.watering import SeasonSpan


def water_chain(case: Case, dose: PlannedDose) -> Chain:
    """Return why a dose takes its litres of water."""
    ratio = water_on(case.facts, dose.due_on)
    poured = by_rule(
        RuleId.WATER,
        rule_origin("follows"),
        litres=dose.litres,
        ratio=ratio,
        water_litres=dose.water_litres,
    )
    return (*_season(case, dose), _ratio(case, dose, ratio), poured)


def plants_chain(case: Case) -> Chain:
    """Return why so many plants are counted on the plot."""
    crop, area_m2 = case.facts.crop, case.facts.area_m2
    return (
        by_rule(
            RuleId.SPACING, crop.origins["spacing"], row_cm=crop.row_cm, plant_cm=crop.plant_cm
        ),
        by_rule(
            RuleId.PLANTS,
            rule_origin("follows"),
            area_m2=area_m2,
            row_cm=crop.row_cm,
            plant_cm=crop.plant_cm,
            plants=plants_on(crop, area_m2),
        ),
    )


def plant_chain(case: Case, dose: PlannedDose) -> Chain:
    """Return why one plant gets its part of a dose."""
    crop, area_m2 = case.facts.crop, case.facts.area_m2
    return (
        by_rule(
            RuleId.PLANT_SHARE,
            rule_origin("follows"),
            litres=dose.litres,
            plants=plants_on(crop, area_m2),
            ml=ml_per_plant(crop, litres=dose.litres, area_m2=area_m2),
        ),
    )


def urine_sum_chain(case: Case) -> Chain:
    """Return how the doses of the plan add up."""
    doses = case.plan.doses
    litres = sum((dose.litres for dose in doses), start=0.0)
    follows = rule_origin("follows")
    return (by_rule(RuleId.SUM_URINE, follows, doses=len(doses), litres=litres),)


def water_sum_chain(case: Case) -> Chain:
    """Return how the water of the plan adds up."""
    doses = case.plan.doses
    water = sum((dose.water_litres for dose in doses), start=0.0)
    follows = rule_origin("follows")
    return (by_rule(RuleId.SUM_WATER, follows, doses=len(doses), water_litres=water),)


def spread_chain(case: Case) -> Chain:
    """Return how the litres of the plan lie on a square metre."""
    litres = sum((dose.litres for dose in case.plan.doses), start=0.0)
    return (
        by_rule(
            RuleId.SPREAD,
            rule_origin("follows"),
            litres=litres,
            area_m2=case.facts.area_m2,
            litres_per_m2=litres / case.facts.area_m2,
        ),
    )


def nitrogen_chain(case: Case) -> Chain:
    """Return how much nitrogen the litres of the plan carry, and between which bounds."""
    litres = sum((dose.litres for dose in case.plan.doses), start=0.0)
    spread, content = litres / case.facts.area_m2, case.grounds.n_g_per_litre
    low, high = rules().low_g_per_litre, rules().high_g_per_litre
    return (
        Reason(
            rule=RuleId.NITROGEN_CONTENT,
            values={"n_g_per_litre": content.value},
            origin=content.origin,
        ),
        by_rule(
            RuleId.NITROGEN_BAND,
            rules().origins["nitrogen"],
            low=low,
            high=high,
            low_kg_per_ha=n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=low),
            high_kg_per_ha=n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=high),
        ),
        by_rule(
            RuleId.NITROGEN_CARRIED,
            rule_origin("follows"),
            litres_per_m2=spread,
            n_g_per_litre=content.value,
            n_kg_per_ha=n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=content.value),
        ),
    )


def _season(case: Case, dose: PlannedDose) -> Iterator[Reason]:
    span, grounds = _span(case, dose), case.grounds
    if span is not None:
        yield told(
            RuleId.IN_SPAN,
            season=span.season.value,
            first_on=span.first_on,
            last_on=span.last_on,
            due_on=dose.due_on,
        )
    elif grounds.season is not None and grounds.season_told:
        yield told(RuleId.SEASON_TOLD, season=grounds.season.value)
    elif grounds.season is not None:
        origin, season = rule_origin("usual-season"), grounds.season.value
        yield by_rule(RuleId.SEASON_ASSUMED, origin, season=season)


def _ratio(case: Case, dose: PlannedDose, ratio: float) -> Reason:
    chosen, origin = case.facts.water_chosen, rules().origins["water"]
    span, least = _span(case, dose), usual_water_ratio(Season.DRY)
    if chosen is None and span is None and ratio not in (0.0, least):
        chosen = ratio  # the facts hold no more than what was chosen
    if chosen and ratio == chosen:
        return told(RuleId.WATER_CHOSEN, ratio=ratio)
    if chosen:
        return by_rule(RuleId.WATER_RAISED, origin, chosen=chosen, ratio=ratio)
    rule = RuleId.WATER_DRY if ratio else RuleId.WATER_RAINS
    return by_rule(rule, origin, ratio=ratio)


def _span(case: Case, dose: PlannedDose) -> SeasonSpan | None:
    holding = [span for span in case.facts.spans if span.first_on <= dose.due_on <= span.last_on]
    return holding[-1] if holding else None
