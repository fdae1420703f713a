"""What the page of a planting shows, from how the planting stands."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.confirmations.plot_state import PlotState
from service.planning.allotting import Planned
from service.planning.board import is_transplanted
from service.records.fields import DoseRow, DoseState, FactKind, PlantingFactRow
from service.web.planting_words import (
    DROPPED,
    DROPPED_OTHERWISE,
    OPEN,
    STATES,
    WARNINGS,
    told_by,
)
from service.web.sentence import Sentence, sentence
from service.web.timeline import Shape
from service.web.tongue import Tongue

SHAPES = {
    DoseState.PLANNED: Shape.DUE,
    DoseState.DONE: Shape.DONE,
    DoseState.NOT_DONE: Shape.NOT_DONE,
    DoseState.NOT_KNOWN: Shape.NOT_KNOWN,
    DoseState.DROPPED: Shape.DROPPED,
}
_DECIDING = {
    DoseState.DONE: (FactKind.APPLIED, FactKind.ELSEWHERE),
    DoseState.NOT_DONE: (FactKind.NOT_APPLIED,),
}
_SHORTFALL_LEAST_L = 0.05  # less than this is the noise of rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """For whom a planting is written out: language, zone and farm day."""

    tongue: Tongue
    zone: ZoneInfo
    today: date

    def day(self, on: date) -> str:
        """Return a day without its year."""
        return self.tongue.short_day(on)

    def moment(self, at: datetime) -> str:
        """Return an instant in local time."""
        return self.tongue.moment(at, self.zone)


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseLine:
    """One row of the dose table; `told` says who said so, where somebody did."""

    number: int
    code: str
    on: date
    urine_l: float
    water_l: float
    state: Sentence
    shape: Shape
    dropped: Sentence | None
    told: Sentence | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvest:
    """The first safe days: by what is known today, and if all doses left are given."""

    safe_on: date | None
    planned_on: date | None

    @property
    def latest_on(self) -> date | None:
        """The later of the two, which is the one to keep."""
        return self.planned_on or self.safe_on


def code_of(state: PlotState, number: int) -> str:
    """Return a dose's reply code, or its number alone where the plot has no letter."""
    return f"{state.bundle.plot.letter or ''}{number}"


def heading(state: PlotState, *, crop: str) -> Sentence:
    """Return the name of a planting's page; a discreet household's tells the letter only."""
    letter = state.bundle.plot.letter
    if state.bundle.household.discreet:
        return sentence("Plot %(letter)s", letter=letter) if letter else sentence("A plot")
    if letter is None:
        return sentence("A plot without a letter: %(crop)s", crop=crop)
    return sentence("Plot %(letter)s: %(crop)s", letter=letter, crop=crop)


def day_of(state: PlotState, row: DoseRow) -> date:
    """Return a dose's day; of one that a rule dropped, the day it would have by now."""
    dropped = {dose.number: dose.due_on for dose in state.plan.dropped}
    return dropped.get(row.number, row.due_on) if row.state is DoseState.DROPPED else row.due_on


def counts_from_planting_out(state: PlotState) -> bool:
    """Say whether the crop was planted out, so that nothing has to come up."""
    return is_transplanted(Planned(bundle=state.bundle, plan=state.plan))


def doses_left(state: PlotState) -> list[DoseRow]:
    """Return the doses still to be given."""
    return [row for row in state.bundle.doses if row.state is DoseState.PLANNED]


def harvest_days(state: PlotState, today: date) -> Harvest:
    """Return the first safe days for a harvest."""
    safe_on = state.safe_harvest(today)
    left = doses_left(state)
    planned_on = None
    if left:
        planned_on = add_days(max(row.due_on for row in left), MONTH_DAYS)
        planned_on = max(planned_on, safe_on or planned_on)
    return Harvest(safe_on=safe_on, planned_on=planned_on)


def shortfall_litres(state: PlotState) -> float:
    """Return the litres of the season's target that no dose takes, 0 for the noise of rounding."""
    left_over = state.plan.shortfall_litres
    return left_over if left_over > _SHORTFALL_LEAST_L else 0.0


def warnings(state: PlotState) -> list[Sentence]:
    """Return what a coordinator should look at in the plan."""
    return [WARNINGS[warning] for warning in state.plan.warnings]


def dose_lines(state: PlotState, reader: Reader) -> list[DoseLine]:
    """Return the rows of the dose table, by number."""
    return [
        DoseLine(
            number=row.number,
            code=code_of(state, row.number),
            on=day_of(state, row),
            urine_l=row.urine_l,
            water_l=row.water_l,
            state=state_word(row, reader.today),
            shape=SHAPES[row.state],
            dropped=drop_words(row),
            told=_told(state, row, reader),
        )
        for row in state.bundle.doses
    ]


def state_word(row: DoseRow, today: date) -> Sentence:
    """Return a dose's state in words; one that can be given today is open."""
    is_open = row.state is DoseState.PLANNED and row.due_on <= today <= row.closes_on
    return OPEN if is_open else STATES[row.state]


def dose_words(state: PlotState, row: DoseRow, reader: Reader) -> Sentence:
    """Return a dose in a few words: its code, day and state."""
    return sentence(
        "%(code)s %(day)s: %(state)s",
        code=code_of(state, row.number),
        day=reader.day(day_of(state, row)),
        state=state_word(row, reader.today),
    )


def drop_words(row: DoseRow) -> Sentence | None:
    """Return why a dose is dropped, None where it is not."""
    if row.state is not DoseState.DROPPED:
        return None
    return DROPPED.get(row.reason or "", DROPPED_OTHERWISE)


def fact_of_dose(state: PlotState, row: DoseRow) -> PlantingFactRow | None:
    """Return the fact that decides a dose's state: the first "done", else the last "not done"."""
    kinds = _DECIDING.get(row.state, ())
    found = [
        fact for fact in state.bundle.facts if fact.kind in kinds and fact.dose_number == row.number
    ]
    if not found:
        return None
    return found[0] if row.state is DoseState.DONE else found[-1]


def _told(state: PlotState, row: DoseRow, reader: Reader) -> Sentence | None:
    fact = fact_of_dose(state, row)
    if fact is None:
        return None
    return told_by(fact.source, fact.noted_by, at=reader.moment(fact.recorded_at))
