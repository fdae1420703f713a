"""Turns of a season that staff write down: failed, sown again, put off, given before, gone on.

A turn that contradicts what is known is refused: a person asks again which of the two is right.
"""

from datetime import date

from service.agronomy.calendar import days_between
from service.confirmations.closing import close_planting
from service.confirmations.crop_news import BURN_NEWS
from service.confirmations.outcomes import Desk, NeedsReading
from service.confirmations.plot_state import PlotState, append_fact, look, tell_coordinator
from service.confirmations.staff_outcomes import Failed, GivenBefore, Resown, SownLater, WentOn
from service.records.fields import FactKind, Flag
from service.records.limits import LIMITS
from service.records.tasks import (
    CROP_FAILED,
    DOSES_GO_ON,
    OF_A_CROP,
    close_about_emergence,
    close_about_planting,
    close_for_dose,
)
from service.records.traffic import TaskKind


def confirm_failed(desk: Desk, planting_id: int, *, on: date) -> Failed | NeedsReading:
    """Record that a crop failed or never came up, and end its planting.

    Doses to come are dropped, and the open tasks about them are closed.
    """
    state = look(desk, planting_id)
    doubt = state.doubt(on, desk.today) or _failed_doubt(state, on)
    if doubt is not None:
        return NeedsReading(hint=doubt)
    state = append_fact(desk, state, FactKind.FAILED, on=on)
    close_about_planting(
        desk.session,
        desk.association_id,
        planting_id,
        kinds=OF_A_CROP,
        outcome=CROP_FAILED,
        now=desk.now,
    )
    close_planting(desk, state, on=on, reason="failed")
    return Failed(letter=state.letter, on=on)


def _failed_doubt(state: PlotState, on: date) -> str | None:
    if on < state.reports.planted_on:
        return "before sowing"
    if any(day > on for day in state.reports.given.values()):
        return "a dose was given after"
    return None


def confirm_resown(desk: Desk, planting_id: int, *, on: date) -> Resown | NeedsReading:
    """Record that a plot was sown again: the season counts anew, doses given before stay facts.

    Nobody knows yet whether the new seed is up, so that is asked again.
    """
    state = look(desk, planting_id)
    if state.reports.resown_on != on or state.over:
        doubt = state.doubt(on, desk.today) or _resown_doubt(state, on)
        if doubt is not None:
            return NeedsReading(hint=doubt)
        close_about_emergence(desk.session, desk.association_id, planting_id, now=desk.now)
        state = append_fact(desk, state, FactKind.RESOWN, on=on)
    return Resown(letter=state.letter, on=on, next_on=_later_day(state, desk.today))


def _resown_doubt(state: PlotState, on: date) -> str | None:
    if on <= state.reports.planted_on:
        return "sown again before it was sown"
    if state.reports.emerged_on is not None and state.reports.emerged_on >= on:
        return "plants were up after"
    return None


def put_off(desk: Desk, planting_id: int, *, on: date) -> SownLater | NeedsReading:
    """Plan a sowing for another day, while nothing is sown and no dose is given."""
    state = look(desk, planting_id)
    doubt = _put_off_doubt(desk, state, on)
    if doubt is not None:
        return NeedsReading(hint=doubt)
    if state.reports.planted_on != on:
        state = append_fact(desk, state, FactKind.PUT_OFF, on=on)
    return SownLater(letter=state.letter, on=on, next_on=_later_day(state, desk.today))


def _put_off_doubt(desk: Desk, state: PlotState, on: date) -> str | None:  # noqa: PLR0911 -- one line a doubt
    if state.over:
        return "the planting is over"
    if on < desk.today:
        return "planned for a day gone by"
    if days_between(desk.today, on) > LIMITS.planted_days:
        return "planned for years from now"
    if state.reports.sown_told:
        return "sowing was told"
    if state.reports.given:
        return "a dose was given already"
    if state.reports.emerged_on is not None:
        return "plants were up before"
    return None


def given_elsewhere(
    desk: Desk, planting_id: int, number: int, *, on: date, litres: float
) -> GivenBefore | NeedsReading:
    """Record a dose that was given, with its litres, before the service knew of the planting."""
    state = look(desk, planting_id)
    doubt = state.doubt(on, desk.today) or _given_doubt(state, number, on=on, litres=litres)
    if doubt is not None:
        return NeedsReading(hint=doubt)
    late = on > state.plan.cutoff_on
    after = append_fact(
        desk,
        state,
        FactKind.ELSEWHERE,
        on=on,
        number=number,
        flag=Flag.AFTER_CUTOFF if late else None,
        litres=litres,
    )
    row = after.dose(number)
    if row is not None:
        close_for_dose(desk.session, desk.association_id, row.id, now=desk.now)
    if late:
        tell_coordinator(
            desk,
            after,
            TaskKind.AFTER_CUTOFF,
            key=f"reported:{planting_id}:{number}",
            dose_id=None if row is None else row.id,
        )
    return GivenBefore(
        code=after.code(number), on=on, litres=litres, next_on=_later_day(after, desk.today)
    )


def _given_doubt(  # noqa: PLR0911 -- one line a doubt
    state: PlotState, number: int, *, on: date, litres: float
) -> str | None:
    if state.dose(number) is None:
        return "no such dose"
    if number in state.reports.given:
        return "was noted as done"
    if on < state.reports.planted_on:
        return "before sowing"
    if any(given < number and day > on for given, day in state.reports.given.items()):
        return "before the dose before it"
    if litres <= 0:
        return "no litres"
    if litres > state.plan.target_litres:
        return "more than the season's litres"
    return None


def go_on_after_burn(desk: Desk, planting_id: int) -> WentOn | NeedsReading:
    """Record that a person has looked at burnt leaves: what held the doses ends yesterday."""
    state = look(desk, planting_id)
    if state.over:
        return NeedsReading(hint="the planting is over")
    last = next((fact for fact in reversed(state.bundle.facts) if fact.kind in BURN_NEWS), None)
    if last is None:
        return NeedsReading(hint="no burnt leaves")
    if last.kind is FactKind.BURNT:
        state = append_fact(desk, state, FactKind.GO_ON, on=desk.today)
        close_about_planting(
            desk.session,
            desk.association_id,
            planting_id,
            kinds=(TaskKind.BURNT,),
            outcome=DOSES_GO_ON,
            now=desk.now,
        )
    row = state.next_dose()
    return WentOn(letter=state.letter, next_on=None if row is None else row.due_on)


def _later_day(state: PlotState, today: date) -> date | None:
    row = state.later_dose(today)
    return None if row is None else row.due_on
