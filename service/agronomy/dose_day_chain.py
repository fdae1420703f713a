"""Why a dose has its day, stays open so long, or is left out."""

from collections.abc import Iterator
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.day_chain import cutoff_origin
from service.agronomy.dose_days import DropReason
from service.agronomy.grounds import Case
from service.agronomy.perennial import perennial_rule
from service.agronomy.reason_origins import rule_origin
from service.agronomy.reasons import Chain, Reason, RuleId, by_rule, told
from service.agronomy.rules import rules
from service.agronomy.season_plan import DroppedDose, PlannedDose


def dose_day_chain(case: Case, dose: PlannedDose) -> Chain:
    """Return why a dose of the plan has its day."""
    usual = tuple(_pattern(case, dose.number))
    if dose.number in case.facts.given:
        return (*usual, told(RuleId.GIVEN, on=dose.due_on))
    if dose.number in case.closed:
        if usual and dose.due_on == dose.usual_on:
            return usual
        kept = by_rule(RuleId.KEEPS_DAY, rule_origin("closed-keeps-day"), on=dose.due_on)
        return (*usual, kept)
    moves = (*_spaced(case, dose.number), *_held(case, dose.number))
    on = _end(moves, dose.usual_on)
    return (*usual, *moves, *_off_avoided(case, on, dose.due_on))


def dropped_day_chain(case: Case, dose: DroppedDose) -> Chain:
    """Return why a dose that a rule took out would have had its day."""
    return (*_pattern(case, dose.number), *_spaced(case, dose.number))


def drop_chain(case: Case, dose: DroppedDose) -> Chain:
    """Return which rule took a dose out."""
    match dose.reason:
        case DropReason.AFTER_CUTOFF:
            return (
                by_rule(
                    RuleId.PAST_CUTOFF,
                    cutoff_origin(case),
                    due_on=dose.due_on,
                    cutoff_on=case.plan.cutoff_on,
                ),
            )
        case DropReason.HOLD:
            return _drop_by_hold(case, dose)
        case DropReason.NOT_READY:
            return (by_rule(RuleId.NO_CAN_READY, rule_origin("no-can")),)
        case DropReason.NO_PLANTING_DOSE:
            return (by_rule(RuleId.NO_PLANTING_DOSE, case.facts.crop.origins["nature"]),)
        case DropReason.SITE:
            return (by_rule(RuleId.SITE, rule_origin("site")),)


def closing_chain(case: Case, dose: PlannedDose) -> Chain:
    """Return why a dose stays open up to its last day."""
    timing, window = rules().origins["timing"], rules().window_days
    by_window = add_days(dose.due_on, window)
    steps = [
        by_rule(RuleId.WINDOW, timing, days=window, due_on=dose.due_on, on=by_window),
    ]
    later = [other.due_on for other in case.plan.doses if other.due_on > dose.due_on]
    on = by_window
    if later and add_days(min(later), -1) < on:
        on = add_days(min(later), -1)
        steps.append(by_rule(RuleId.BEFORE_NEXT, timing, next_on=min(later), on=on))
    if case.plan.cutoff_on < on:
        on = case.plan.cutoff_on
        steps.append(by_rule(RuleId.UP_TO_CUTOFF, cutoff_origin(case), on=on))
    if on < dose.due_on:
        steps.append(by_rule(RuleId.OWN_DAY_ONLY, timing, on=dose.due_on))
    return tuple(steps)


def _pattern(case: Case, number: int) -> Iterator[Reason]:
    on, origin = case.pattern.get(number), case.grounds.pattern
    if on is None:
        return
    if case.facts.crop.perennial:
        rain_on = case.rain_before(on)
        yield by_rule(
            RuleId.IN_RAINS,
            perennial_rule().origin,
            number=number,
            rain_on=rain_on,
            days=days_between(rain_on, on),
            on=on,
        )
        return
    if number == 1:
        yield by_rule(RuleId.DOSE_AT_PLANTING, origin, number=number, on=on)
        return
    up_on = case.plan.emergence_on
    rule = RuleId.AFTER_EMERGENCE
    if case.plan.emergence_assumed:
        rule = RuleId.AFTER_ASSUMED_EMERGENCE
    days = days_between(up_on, on)
    yield by_rule(rule, origin, number=number, days=days, up_on=up_on, on=on)


def _spaced(case: Case, number: int) -> Iterator[Reason]:
    gap, usual_on = rules().min_gap_days, case.pattern[number]
    on = max([usual_on, *(add_days(dose.due_on, gap) for dose in case.before(number))])
    on = _clear_of_given(case, on)
    if on != usual_on:
        yield _gap(on)


def _held(case: Case, number: int) -> Iterator[Reason]:
    on = _end(tuple(_spaced(case, number)), case.pattern[number])
    for first_on, last_on in sorted((hold.first_on, hold.last_on) for hold in case.facts.holds):
        if first_on <= on <= last_on:
            on = add_days(last_on, 1)
            yield by_rule(
                RuleId.HOLD, rule_origin("hold"), first_on=first_on, last_on=last_on, on=on
            )


def _clear_of_given(case: Case, day: date) -> date:
    on = day
    for given_on in sorted(case.facts.given.values()):
        if given_on <= on:
            on = max(on, add_days(given_on, rules().min_gap_days))
    return on


def _gap(on: date) -> Reason:
    days = rules().min_gap_days
    before_on = add_days(on, -days)
    return by_rule(RuleId.GAP, rules().origins["timing"], days=days, before_on=before_on, on=on)


def _off_avoided(case: Case, on: date, due_on: date) -> Iterator[Reason]:
    if on.weekday() not in case.facts.avoided:
        return
    origin = rule_origin("avoided-day")
    if on == due_on:
        yield by_rule(RuleId.AVOIDED_KEPT, origin, on=on)
    else:
        yield by_rule(RuleId.AVOIDED, origin, was_on=on, on=due_on)


def _drop_by_hold(case: Case, dose: DroppedDose) -> Chain:
    moves = tuple(_held(case, dose.number))
    held_on, gap = _end(moves, dose.due_on), rules().min_gap_days
    # a later number may have been given before it, so nearness counts on either side
    days = {abs(days_between(held_on, other.due_on)): other for other in case.after(dose.number)}
    if days and min(days) < gap:
        crowded = by_rule(
            RuleId.HELD_TOO_NEAR,
            rules().origins["timing"],
            held_on=held_on,
            next_on=days[min(days)].due_on,
            between=min(days),
            days=gap,
        )
        return (*moves, crowded)
    late = by_rule(
        RuleId.HELD_PAST_CUTOFF,
        cutoff_origin(case),
        held_on=held_on,
        cutoff_on=case.plan.cutoff_on,
    )
    return (*moves, late)


def _end(moves: Chain, usual_on: date) -> date:
    on = moves[-1].values["on"] if moves else usual_on
    if not isinstance(on, date):
        raise TypeError("a move ends on a day")
    return on
