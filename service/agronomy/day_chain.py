"""Why the days of a season are as they are."""

from collections.abc import Iterator
from math import floor

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.agronomy.cutoff import CutoffRule
from service.agronomy.grounds import Case
from service.agronomy.perennial import perennial_rule
from service.agronomy.reason_origins import month_origin, rule_origin
from service.agronomy.reasons import Chain, Reason, RuleId, by_rule, told
from service.agronomy.rules import rules
from service.agronomy.tables import Origin


def planted_chain(case: Case) -> Chain:
    """Return why the season counts from its first day."""
    rule = RuleId.PLANTED_TOLD if case.grounds.sown_told else RuleId.PLANTED_ENTERED
    return (told(rule, on=case.facts.planted_on),)


def emergence_chain(case: Case) -> Chain:
    """Return why the plants are taken to be up on their day."""
    facts, on = case.facts, case.plan.emergence_on
    if facts.emerged_on is None:
        rule = RuleId.EMERGENCE_ASSUMED
        if case.transplanted:
            rule = RuleId.EMERGENCE_ASSUMED_PLANTED_OUT
        return (
            by_rule(
                rule,
                facts.crop.origins["emergence"],
                planted_on=facts.planted_on,
                days=facts.crop.emergence_days,
                on=on,
            ),
        )
    report = told(RuleId.EMERGED_TOLD, on=facts.emerged_on)
    if facts.emerged_on == on:
        return (report,)
    return (report, by_rule(RuleId.EMERGED_NOT_BEFORE, rule_origin("follows"), on=on))


def season_chain(case: Case) -> Chain:
    """Return why the season has its days."""
    days = case.plan.season_days
    if case.facts.season_days:
        return (told(RuleId.SEASON_ENTERED, days=days),)
    return (by_rule(RuleId.SEASON_USUAL, case.facts.crop.origins["season"], days=days),)


def first_harvest_chain(case: Case) -> Chain:
    """Return why the first harvest is expected on its day."""
    facts, on = case.facts, case.plan.first_harvest_on
    crop = facts.crop
    if facts.first_harvest_on is not None:
        return _within_season(case, told(RuleId.HARVEST_ENTERED, on=facts.first_harvest_on))
    if crop.picked_repeatedly:
        picked = by_rule(
            RuleId.HARVEST_PICKED,
            crop.origins["first_harvest"],
            planted_on=facts.planted_on,
            days=crop.first_harvest_days,
            on=add_days(facts.planted_on, crop.first_harvest_days),
        )
        return _within_season(case, picked)
    at_end = by_rule(
        RuleId.HARVEST_AT_END,
        crop.origins["first_harvest"],
        planted_on=facts.planted_on,
        days=case.plan.season_days,
        on=on,
    )
    return (*season_chain(case), at_end)


def cutoff_chain(case: Case) -> Chain:
    """Return which of two rules sets the last day for a dose; a perennial goes on bearing."""
    facts, plan = case.facts, case.plan
    if facts.crop.perennial:
        return tuple(_bears_on(case))
    share = facts.fraction
    part = floor(share * plan.season_days)
    binds = {
        CutoffRule.ONE_MONTH: RuleId.CUTOFF_MONTH_BINDS,
        CutoffRule.SHARE_OF_SEASON: RuleId.CUTOFF_SHARE_BINDS,
    }
    return (
        by_rule(
            RuleId.CUTOFF_SHARE,
            rules().origins["season_share"],
            share=f"{share.numerator}/{share.denominator}",
            days=plan.season_days,
            part=part,
            planted_on=facts.planted_on,
            on=add_days(facts.planted_on, part),
        ),
        by_rule(
            RuleId.CUTOFF_MONTH,
            month_origin(),
            days=MONTH_DAYS,
            harvest_on=plan.first_harvest_on,
            on=add_days(plan.first_harvest_on, -MONTH_DAYS),
        ),
        by_rule(binds[plan.cutoff_rule], rule_origin("follows"), on=plan.cutoff_on),
    )


def cutoff_origin(case: Case) -> Origin:
    """Return where the rule comes from that sets the last day."""
    if case.facts.crop.perennial:
        return perennial_rule().origin
    if case.plan.cutoff_rule is CutoffRule.ONE_MONTH:
        return month_origin()
    return rules().origins["season_share"]


def _bears_on(case: Case) -> Iterator[Reason]:
    facts, plan = case.facts, case.plan
    if facts.first_harvest_on is not None:
        yield by_rule(
            RuleId.PICKING_MONTH,
            month_origin(),
            days=MONTH_DAYS,
            harvest_on=facts.first_harvest_on,
        )
    yield by_rule(
        RuleId.CUTOFF_BEARS_ON,
        perennial_rule().origin,
        planted_on=facts.planted_on,
        days=plan.season_days,
        on=plan.cutoff_on,
    )


def _within_season(case: Case, reason: Reason) -> Chain:
    if reason.values["on"] == case.plan.first_harvest_on:
        return (reason,)
    capped = by_rule(
        RuleId.HARVEST_NOT_AFTER_END,
        rule_origin("follows"),
        planted_on=case.facts.planted_on,
        days=case.plan.season_days,
        on=case.plan.first_harvest_on,
    )
    return (reason, *season_chain(case), capped)
