"""A dose was done, or was not.

What is poured is poured: a report that breaks a rule is recorded, answered with the safe next
step, and shown to the coordinator. A report that cannot be true goes to a person.
"""

from datetime import date

from service.agronomy.calendar import MONTH_DAYS, add_days, days_between
from service.confirmations.outcomes import (
    Again,
    Desk,
    Done,
    LastDone,
    NeedsReading,
    NotDone,
    Outcome,
    TooMuch,
    Unready,
)
from service.confirmations.plot_state import PlotState, append_fact, look, tell_coordinator
from service.planning.allotting import eaters_of
from service.planning.stock import any_ready
from service.records.fields import OWN_WORD, DoseState, FactKind, Flag
from service.records.tasks import close_for_dose
from service.records.traffic import TaskKind

EARLY_DAYS = 2  # a dose may be done from two days before its day
BACK_DAYS = 6  # a report further back goes to a person


def confirm_done(desk: Desk, planting_id: int, number: int, *, on: date) -> Outcome:
    """Record that a dose was given on a day, once, and return what follows."""
    state = look(desk, planting_id)
    if number in state.reports.given:
        return _again(desk, state, number, on=on)
    doubt = _doubt(desk, state, number, on=on)
    if doubt is not None:
        return NeedsReading(hint=doubt)
    flag = _flag(state, number, on=on)
    before = {row.number: row.due_on for row in state.bundle.doses}
    after = append_fact(desk, state, FactKind.APPLIED, on=on, number=number, flag=flag)
    row = after.dose(number)
    if row is not None:
        close_for_dose(desk.session, desk.association_id, row.id, now=desk.now)
    if flag is not None:
        tell_coordinator(
            desk,
            after,
            TaskKind.AFTER_CUTOFF if flag is Flag.AFTER_CUTOFF else TaskKind.NOT_READY,
            key=f"reported:{planting_id}:{number}",
            dose_id=None if row is None else row.id,
        )
    return _answer(desk, after, number, on=on, flag=flag, before=before)


def _answer(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    desk: Desk,
    after: PlotState,
    number: int,
    *,
    on: date,
    flag: Flag | None,
    before: dict[int, date],
) -> Outcome:
    harvest_on = after.safe_harvest(desk.today) or add_days(on, MONTH_DAYS)
    following = after.later_dose(desk.today)
    match flag:
        case Flag.NOT_READY:
            return Unready(code=after.code(number), letter=after.letter, harvest_on=harvest_on)
        case Flag.DROPPED:
            return TooMuch(
                letter=after.letter,
                given_l=sum(
                    row.urine_l for row in after.bundle.doses if row.state is DoseState.DONE
                ),
                max_l=after.plan.target_litres,
                next_on=None if following is None else following.due_on,
            )
        case Flag.AFTER_CUTOFF | Flag.TOO_EARLY | None:
            pass
    if following is None or flag is Flag.AFTER_CUTOFF:
        return LastDone(
            code=after.code(number),
            letter=after.letter,
            crop=after.bundle.planting.crop,
            harvest_on=harvest_on,
        )
    return Done(
        code=after.code(number),
        letter=after.letter,
        on=on,
        next_on=following.due_on,
        moved=before.get(following.number) != following.due_on,
    )


def _doubt(desk: Desk, state: PlotState, number: int, *, on: date) -> str | None:  # noqa: PLR0911 -- one line a doubt
    row = state.dose(number)
    if row is None:
        return "no such dose"
    doubt = state.doubt(on, desk.today)
    if doubt is not None:
        return doubt
    if desk.source in OWN_WORD and days_between(on, desk.today) > BACK_DAYS:
        return "too long ago"
    if on < state.reports.planted_on:
        return "before sowing"
    earlier = [day for given, day in state.reports.given.items() if given < number]
    if earlier and on < max(earlier):
        return "before the dose before it"
    if row.state is not DoseState.DROPPED and on < add_days(row.due_on, -EARLY_DAYS):
        return "not due yet"
    return None


def _flag(state: PlotState, number: int, *, on: date) -> Flag | None:
    row = state.dose(number)
    if on > state.plan.cutoff_on:
        return Flag.AFTER_CUTOFF
    if not any_ready(state.cans, regime=eaters_of(state.bundle), on=on):
        return Flag.NOT_READY
    if row is not None and row.state is DoseState.DROPPED:
        return Flag.DROPPED
    return None


def _again(desk: Desk, state: PlotState, number: int, *, on: date) -> Outcome:
    row = state.dose(number)
    first_on = state.reports.given[number]
    twice = any(
        fact.kind is FactKind.SECOND_REPORT and fact.dose_number == number
        for fact in state.bundle.facts
    )
    if on != first_on and not twice:
        append_fact(desk, state, FactKind.SECOND_REPORT, on=on, number=number)
        tell_coordinator(
            desk,
            state,
            TaskKind.SECOND_REPORT,
            key=f"{state.bundle.planting.id}:{number}",
            dose_id=None if row is None else row.id,
        )
    return Again(code=state.code(number), on=first_on)


def confirm_not_done(desk: Desk, planting_id: int, number: int) -> Outcome:
    """Record that a dose is not done; it may still be reported done later."""
    state = look(desk, planting_id)
    row = state.dose(number)
    if row is None or row.state is DoseState.DROPPED:
        return NeedsReading(hint="no such dose")
    if state.over:
        return NeedsReading(hint="the planting is over")
    if number in state.reports.given:
        return NeedsReading(hint="was noted as done")
    if number not in state.reports.not_done:
        state = append_fact(desk, state, FactKind.NOT_APPLIED, on=desk.today, number=number)
        close_for_dose(desk.session, desk.association_id, row.id, now=desk.now)
    return NotDone(code=state.code(number), until=row.closes_on)
