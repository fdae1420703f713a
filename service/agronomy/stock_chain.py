"""Why a container is ready on its day, what a dose gets from the store, and when to harvest."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.allotment import Allotment, Ask, turn
from service.agronomy.calendar import MONTH_DAYS
from service.agronomy.reason_origins import month_origin, rule_origin
from service.agronomy.reasons import Chain, Reason, RuleId, by_rule, told
from service.agronomy.regimes import Regime, StoreReason, ready_on, rest_rule, store_reason
from service.agronomy.rules import rules
from service.agronomy.withholding import DoseStanding, earliest_harvest_on, last_possible_on


@dataclass(frozen=True, slots=True, kw_only=True)
class RestAsk:
    """A container's rest; `regime_told` is False where nobody said who eats the crop."""

    regime: Regime
    regime_told: bool = True
    longer_rest: bool = False
    store_c: float | None


def explain_rest(ask: RestAsk) -> Chain:
    """Return why a container rests so many days, what its store proves being said before it."""
    rule = rest_rule(ask.regime, longer_rest=ask.longer_rest)
    named = RuleId.LONGER_REST if ask.longer_rest else RuleId.REST_DAYS
    days = by_rule(named, rule.origin, regime=ask.regime.value, days=rule.rest_days)
    return (*_eaters(ask), *_store(ask), days)


def explain_can(ask: RestAsk, sealed_on: date) -> Chain:
    """Return why a container sealed on a day is ready on another, the store being warm enough."""
    on = ready_on(sealed_on, regime=ask.regime, longer_rest=ask.longer_rest)
    days = rest_rule(ask.regime, longer_rest=ask.longer_rest).rest_days
    rests = by_rule(RuleId.RESTS, rule_origin("follows"), sealed_on=sealed_on, days=days, on=on)
    return (*explain_rest(ask), rests)


def explain_allotment(ask: Ask, allotment: Allotment, order: Sequence[Ask]) -> Chain:
    """Return whose turn a dose had, what it got from which containers, and what it lacks.

    Args:
        ask: what the dose wants.
        allotment: what it got.
        order: every dose that wants from the same store, this one among them.
    """
    turns = sorted(order, key=turn)
    place = [other.dose for other in turns].index(ask.dose) + 1
    origin = rule_origin("turn")
    steps = [by_rule(RuleId.TOLD_FIRST, rule_origin("told-first"))] if ask.told else []
    steps += [by_rule(RuleId.DUE_FIRST, origin, place=place, doses=len(turns), due_on=ask.due_on)]
    rivals = [
        other
        for other in turns
        if (other.told, other.due_on) == (ask.told, ask.due_on)
        and other.planted_on != ask.planted_on
    ]
    steps += [
        by_rule(
            RuleId.YOUNGER_FIRST,
            origin,
            due_on=ask.due_on,
            younger_on=max(ask.planted_on, other.planted_on),
            older_on=min(ask.planted_on, other.planted_on),
        )
        for other in rivals[:1]
    ]
    steps += [
        by_rule(
            RuleId.FROM_EXPECTED_CAN if draw.forecast else RuleId.FROM_CAN,
            rule_origin("sealed-first"),
            can=draw.can,
            litres=draw.litres,
        )
        for draw in allotment.draws
    ]
    if allotment.short_litres > 0:
        last = by_rule(
            RuleId.SHORT,
            rule_origin("no-can"),
            wanted_litres=ask.litres,
            litres=allotment.litres,
            short_litres=allotment.short_litres,
            on=ask.on,
        )
    else:
        last = by_rule(
            RuleId.ENOUGH,
            rule_origin("follows"),
            wanted_litres=ask.litres,
            litres=allotment.litres,
        )
    return (*steps, last)


def explain_harvest(doses: Iterable[DoseStanding], today: date) -> Chain:
    """Return why a harvest is safe from its day, by what is known today; none if no dose counts."""
    known = tuple(doses)
    last_on = last_possible_on(known, today)
    if last_on is None:
        return ()
    given = [dose for dose in known if dose.given_on == last_on]
    if given:
        return (
            told(RuleId.LAST_GIVEN, number=given[-1].number, on=last_on),
            *_month(RuleId.MONTH_AFTER, last_on),
        )
    perhaps = [
        dose.number
        for dose in known
        if dose.closes_on == last_on and dose.due_on <= today and not dose.known_not_done
    ]
    step = by_rule(RuleId.LAST_PERHAPS, month_origin(), number=perhaps[-1], on=last_on)
    return (step, *_month(RuleId.MONTH_AFTER, last_on))


def explain_planned_harvest(number: int, last_on: date, *, safe_on: date | None = None) -> Chain:
    """Return why a harvest is safe from its day, if a plan's last dose is given on its own.

    Args:
        number: the last dose's.
        last_on: its day.
        safe_on: the first safe day by what is known today, which may be the later one.
    """
    after_on = earliest_harvest_on(last_on)
    chain = (
        by_rule(RuleId.LAST_PLANNED, rule_origin("follows"), number=number, on=last_on),
        *_month(RuleId.MONTH_AFTER_PLANNED, last_on),
    )
    if safe_on is None or after_on is None or safe_on <= after_on:
        return chain
    return (*chain, by_rule(RuleId.LATER_BY_NOW, rule_origin("follows"), on=safe_on))


def _month(rule: RuleId, last_on: date) -> Iterator[Reason]:
    safe_on = earliest_harvest_on(last_on)
    if safe_on is not None:
        yield by_rule(rule, month_origin(), days=MONTH_DAYS, last_on=last_on, on=safe_on)


def _eaters(ask: RestAsk) -> Iterator[Reason]:
    if ask.longer_rest:
        return
    if ask.regime_told:
        yield told(RuleId.REGIME_TOLD, regime=ask.regime.value)
    else:
        yield by_rule(RuleId.REGIME_ASSUMED, rule_origin("usual-regime"), regime=ask.regime.value)


def _store(ask: RestAsk) -> Iterator[Reason]:
    rule = rest_rule(ask.regime, longer_rest=ask.longer_rest)
    if not rule.needs_warm_store:
        return
    origin, least = rules().origins["store"], rules().least_store_celsius
    reason = store_reason(ask.regime, store_c=ask.store_c, longer_rest=ask.longer_rest)
    if ask.store_c is None:
        yield by_rule(RuleId.STORE_UNKNOWN, origin, least_c=least)
    elif reason is StoreReason.COLD_STORE:
        yield by_rule(RuleId.COLD_STORE, origin, least_c=least, store_c=ask.store_c)
    else:
        yield by_rule(RuleId.WARM_STORE, origin, least_c=least, store_c=ask.store_c)
