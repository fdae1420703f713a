"""News of the crop: sown, up, rain, burnt leaves, harvested."""

from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import crop
from service.confirmations.closing import close_planting
from service.confirmations.outcomes import (
    Burnt,
    Desk,
    Harvested,
    Held,
    NeedsReading,
    Outcome,
    Sown,
    Up,
)
from service.confirmations.plot_state import (
    PlotState,
    append_fact,
    look,
    replan,
    tell_coordinator,
)
from service.planning.send_window import local_day, zone_of
from service.records.fields import DoseRow, DoseState, FactKind, Flag
from service.records.holds import add_hold
from service.records.plantings import association
from service.records.tasks import close_about_emergence
from service.records.traffic import TaskKind

RAIN_DAYS = 2
BURN_NEWS = (FactKind.BURNT, FactKind.GO_ON)
BURN_DAYS = 7  # project choice: time for a person to look before the next dose


def confirm_sown(desk: Desk, planting_id: int, *, on: date) -> Outcome:
    """Record the day of sowing or transplanting, and plan from it."""
    state = look(desk, planting_id)
    doubt = state.doubt(on, desk.today)
    if doubt is not None:
        return NeedsReading(hint=doubt)
    if any(day < on for day in state.reports.given.values()):
        return NeedsReading(hint="a dose was given before")
    if state.reports.emerged_on is not None and state.reports.emerged_on <= on:
        return NeedsReading(hint="plants were up before")
    if not state.reports.sown_told or state.reports.planted_on != on:
        state = append_fact(desk, state, FactKind.SOWN, on=on)
    return Sown(
        letter=state.letter,
        crop=state.bundle.planting.crop,
        on=on,
        next_on=_later_day(state, desk.today),
    )


def confirm_up(desk: Desk, planting_id: int, *, on: date) -> Outcome:
    """Record the day most plants were up; earlier than half the usual days is for a person."""
    state = look(desk, planting_id)
    doubt = state.doubt(on, desk.today)
    if doubt is not None:
        return NeedsReading(hint=doubt)
    after_days = days_between(state.reports.planted_on, on)
    if after_days * 2 < crop(state.bundle.planting.crop).emergence_days:
        return NeedsReading(hint="up too soon after sowing")
    if state.reports.emerged_on != on:
        state = append_fact(desk, state, FactKind.EMERGED, on=on)
    close_about_emergence(desk.session, desk.association_id, planting_id, now=desk.now)
    return Up(letter=state.letter, on=on, next_on=_later_day(state, desk.today))


def confirm_rain(desk: Desk, planting_id: int) -> Outcome:
    """Hold the open or next dose for two days of rain; told twice in a day, it counts once."""
    state = look(desk, planting_id)
    row = None if state.over else state.next_dose()
    if row is None:
        return NeedsReading(hint="no dose to hold")
    if not _held_today(desk, state):
        state = _hold(desk, state, row, days=RAIN_DAYS)
    kept = state.dose(row.number)
    moved = kept is not None and kept.state is DoseState.PLANNED
    return Held(
        code=state.code(row.number),
        letter=state.letter,
        next_on=kept.due_on if kept is not None and moved else None,
    )


def confirm_burnt(desk: Desk, planting_id: int) -> Outcome:
    """Record burnt leaves: the next dose waits, and a person looks.

    Told twice in a day they count once, unless a person has looked and let doses go on meanwhile.
    """
    state = look(desk, planting_id)
    if state.over:
        return NeedsReading(hint="the planting is over")
    before = [fact for fact in state.bundle.facts if fact.kind in BURN_NEWS]
    if before and (before[-1].kind, before[-1].on) == (FactKind.BURNT, desk.today):
        return Burnt(letter=state.letter)
    row = state.next_dose()
    if row is not None:
        state = _hold(desk, state, row, days=BURN_DAYS)
    append_fact(desk, state, FactKind.BURNT, on=desk.today)
    again = f":{len(before)}" if any(fact.on == desk.today for fact in before) else ""
    key = f"{planting_id}:{desk.today.isoformat()}{again}"
    tell_coordinator(desk, state, TaskKind.BURNT, key=key)
    return Burnt(letter=state.letter)


def _held_today(desk: Desk, state: PlotState) -> bool:
    zone = zone_of(association(desk.session, desk.association_id).zone)
    return any(local_day(hold.recorded_at, zone) == desk.today for hold in state.bundle.holds)


def _hold(desk: Desk, state: PlotState, row: DoseRow, *, days: int) -> PlotState:
    # from the dose's own day, so that one already open moves as well; a day earlier where a hold
    # begins then, since what lifts the one must leave the other
    first_on = min(row.due_on, desk.today)
    while any(hold.first_on == first_on for hold in state.bundle.holds):
        first_on = add_days(first_on, -1)
    add_hold(
        desk.session,
        desk.association_id,
        state.bundle.planting.id,
        first_on=first_on,
        last_on=add_days(max(row.due_on, desk.today), days - 1),
        source=desk.source,
        noted_by=desk.noted_by,
        now=desk.now,
    )
    return replan(desk, state)


def confirm_harvest(desk: Desk, planting_id: int, *, on: date) -> Outcome:
    """Record the harvest and end the planting; one before the safe day is shown to a person."""
    state = look(desk, planting_id)
    if on > desk.today:
        return NeedsReading(hint="future")
    safe_on = state.safe_harvest(desk.today)
    early = safe_on is not None and on < safe_on
    if state.reports.harvested_on is None:
        state = append_fact(
            desk, state, FactKind.HARVESTED, on=on, flag=Flag.TOO_EARLY if early else None
        )
        close_planting(desk, state, on=on, reason="harvested")
    if early:
        tell_coordinator(desk, state, TaskKind.EARLY_HARVEST, key=str(planting_id))
    return Harvested(letter=state.letter, on=on, safe_on=safe_on if early else None)


def _later_day(state: PlotState, today: date) -> date | None:
    row = state.later_dose(today)
    return None if row is None else row.due_on
