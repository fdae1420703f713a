"""Why the season's amount and each dose's litres are as they are."""

from collections.abc import Iterator

from service.agronomy.dosing import dose_cap, is_over, litres_per_m2
from service.agronomy.grounds import Case
from service.agronomy.reason_origins import rule_origin
from service.agronomy.reasons import Chain, Reason, RuleId, by_rule, told
from service.agronomy.rules import rules
from service.agronomy.season import Measure, Soil, soil_share
from service.agronomy.season_plan import PlannedDose, SeasonWarning

_NOISE = 1e-9


def area_chain(case: Case) -> Chain:
    """Return where the plot's area comes from."""
    area_m2 = case.facts.area_m2
    if case.grounds.area_told:
        return (told(RuleId.AREA_TOLD, area_m2=area_m2),)
    return (by_rule(RuleId.AREA_USUAL, rule_origin("usual-area"), area_m2=area_m2),)


def target_chain(case: Case) -> Chain:
    """Return why the season takes so many litres in all."""
    facts = case.facts
    share = soil_share(facts.soil)
    each = facts.litres_per_m2 * share
    steps = list(_litres_per_m2(case))
    if facts.soil is not Soil.NORMAL:
        steps.append(
            by_rule(
                RuleId.POOR_SOIL,
                rules().origins["soil"],
                soil=facts.soil.value,
                share=share,
                litres_per_m2=each,
            )
        )
    most = rules().warn_litres_per_m2 * share
    if is_over(each, most):
        ceiling = rules().origins["ceiling"]
        steps.append(by_rule(RuleId.OVER_WARNING, ceiling, litres_per_m2=each, most=most))
    on_area = by_rule(
        RuleId.ON_AREA,
        rule_origin("follows"),
        litres_per_m2=each,
        area_m2=facts.area_m2,
        litres=case.plan.target_litres,
    )
    return (*steps, *area_chain(case), on_area)


def cap_chain(case: Case) -> Chain:
    """Return why one dose holds no more than its most."""
    doses = case.facts.doses_in_pattern
    return (
        by_rule(
            RuleId.DOSE_CAP,
            rules().origins["dose_cap"],
            times=rules().cap_times_equal_share,
            season_litres=case.plan.target_litres,
            doses=doses,
            litres=dose_cap(case.plan.target_litres, doses=doses),
        ),
    )


def dose_amount_chain(case: Case, dose: PlannedDose) -> Chain:
    """Return why a dose has its litres."""
    if dose.number in case.facts.told_litres:
        return (by_rule(RuleId.TOLD_STAYS, rule_origin("told-stays"), litres=dose.litres),)
    return tuple(_shared(case, dose))


def dropped_amount_chain() -> Chain:
    """Return why a dose that a rule took out has no litres."""
    return (by_rule(RuleId.DROPPED_TAKES_NOTHING, rule_origin("equal-shares"), litres=0.0),)


def shortfall_chain(case: Case) -> Chain:
    """Return why so many litres of the season find no dose."""
    plan = case.plan
    poured = sum((dose.litres for dose in plan.doses), start=0.0)
    steps: list[Reason] = []
    if not plan.doses:
        steps.append(by_rule(RuleId.NO_DOSE_LEFT, rule_origin("equal-shares")))
    elif not _free(case):
        steps.append(by_rule(RuleId.TOLD_LEAVES_OVER, rule_origin("told-stays")))
    elif SeasonWarning.SHORTFALL in plan.warnings:
        cap = dose_cap(plan.target_litres, doses=case.facts.doses_in_pattern)
        origin, doses = rules().origins["dose_cap"], len(_free(case))
        steps.append(by_rule(RuleId.CAP_LEAVES_OVER, origin, litres=cap, doses=doses))
    elif case.facts.measure is Measure.GROWER:
        steps.append(by_rule(RuleId.ROUNDING_LEAVES_OVER, rule_origin("measures")))
    left_over = by_rule(
        RuleId.LEFT_OVER,
        rule_origin("follows"),
        season_litres=plan.target_litres,
        poured_litres=poured,
        litres=plan.shortfall_litres,
    )
    return (*steps, left_over)


def _litres_per_m2(case: Case) -> Iterator[Reason]:
    each, target, content = (
        case.facts.litres_per_m2,
        case.grounds.n_kg_per_ha,
        case.grounds.n_g_per_litre,
    )
    if target is not None and _same(
        each, litres_per_m2(n_kg_per_ha=target.value, n_g_per_litre=content.value)
    ):
        yield Reason(
            rule=RuleId.NITROGEN_TARGET, values={"n_kg_per_ha": target.value}, origin=target.origin
        )
        yield Reason(
            rule=RuleId.NITROGEN_CONTENT,
            values={"n_g_per_litre": content.value},
            origin=content.origin,
        )
        yield by_rule(
            RuleId.LITRES_FROM_NITROGEN,
            rule_origin("follows"),
            n_kg_per_ha=target.value,
            n_g_per_litre=content.value,
            litres_per_m2=each,
        )
    elif _same(each, rules().litres_per_m2):
        yield by_rule(RuleId.LITRES_USUAL, rules().origins["amount"], litres_per_m2=each)
    else:
        yield told(RuleId.LITRES_ENTERED, litres_per_m2=each)


def _shared(case: Case, dose: PlannedDose) -> Iterator[Reason]:
    season_litres, told_litres = case.plan.target_litres, case.facts.told_litres
    before = [other for other in case.before(dose.number) if other.number not in told_litres]
    taken = sum(
        (
            other.litres
            for other in case.plan.doses
            if other.number in told_litres or other.number < dose.number
        ),
        start=0.0,
    )
    rest, doses = max(0.0, season_litres - taken), len(_free(case)) - len(before)
    each = rest / doses
    cap = dose_cap(season_litres, doses=case.facts.doses_in_pattern)
    rounded = case.facts.measure is Measure.GROWER
    yield by_rule(
        RuleId.EQUAL_SHARE,
        rule_origin("equal-shares"),
        season_litres=season_litres,
        taken_litres=taken,
        rest_litres=rest,
        doses=doses,
        litres=each,
    )
    if is_over(each, cap):
        yield by_rule(RuleId.CAPPED, rules().origins["dose_cap"], litres=cap)
    if rounded:
        yield by_rule(RuleId.ROUNDED_DOWN, rule_origin("measures"), litres=dose.litres)


def _free(case: Case) -> list[PlannedDose]:
    return [dose for dose in case.plan.doses if dose.number not in case.facts.told_litres]


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= _NOISE * max(abs(one), abs(other))
