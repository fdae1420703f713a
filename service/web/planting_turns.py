"""Turns of a season that staff write down: read from the form, and made a fact."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.calendar import days_between
from service.confirmations.crop_turns import (
    confirm_failed,
    confirm_resown,
    given_elsewhere,
    go_on_after_burn,
    put_off,
)
from service.confirmations.outcomes import Desk
from service.confirmations.plot_state import PlotState
from service.confirmations.staff_outcomes import TurnOutcome
from service.records.fields import DoseRow, DoseState, FactKind
from service.web.form import Form
from service.web.planting_news import MOST_DAYS_BACK
from service.web.sentence import Sentence, sentence


class Turn(StrEnum):
    """What may have happened to a season."""

    FAILED = "failed"
    RESOWN = "resown"
    PUT_OFF = "put-off"
    GIVEN_BEFORE = "given-before"
    GO_ON = "go-on"


CHOICES = {
    Turn.FAILED: sentence("The crop failed, or never came up"),
    Turn.RESOWN: sentence("It was sown again"),
    Turn.PUT_OFF: sentence("Sowing is put off to another day"),
    Turn.GIVEN_BEFORE: sentence("A dose was given before we knew of the plot"),
    Turn.GO_ON: sentence("I have looked at the burnt leaves: doses go on"),
}
LABELS = {
    "what": sentence("What happened?"),
    "day": sentence("On which day?"),
    "dose": sentence("Which dose was it? (only for one given before)"),
    "litres": sentence("How many litres without water? (only for a dose given before)"),
}
_OF_THE_DOSE = ("no such dose", "was noted as done")
_OF_THE_LITRES = ("no litres", "more than the season's litres")
_OF_THE_TURN = (
    "the planting is over",
    "no burnt leaves",
    "sowing was told",
    "a dose was given already",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One turn on a day; a dose given before has its number and litres."""

    what: Turn
    on: date
    dose: int = 0
    litres: float = 0


def turn_choices(state: PlotState) -> list[tuple[Turn, Sentence]]:
    """Return what can be told now, that which is to be done first on top."""
    fitting = {
        Turn.FAILED: True,
        Turn.RESOWN: True,
        Turn.PUT_OFF: not state.reports.sown_told and not state.reports.given,
        Turn.GIVEN_BEFORE: bool(not_given(state)),
        Turn.GO_ON: waits_after_burn(state),
    }
    found = [(what, words) for what, words in CHOICES.items() if fitting[what]]
    return sorted(found, key=lambda choice: choice[0] is not Turn.GO_ON)


def waits_after_burn(state: PlotState) -> bool:
    """Say whether burnt leaves were told and nobody has looked since."""
    told = [
        fact.kind for fact in state.bundle.facts if fact.kind in (FactKind.BURNT, FactKind.GO_ON)
    ]
    return told[-1:] == [FactKind.BURNT]


def not_given(state: PlotState) -> Sequence[DoseRow]:
    """Return the doses that are not known as given."""
    return [row for row in state.bundle.doses if row.state is not DoseState.DONE]


def told_of(form: Form, state: PlotState, today: date) -> Told | None:
    """Return what the form tells, or None after noting what is wrong with it."""
    what = form.choice("what", Turn)
    if what is Turn.GO_ON:
        return Told(what=what, on=today)
    on = form.day("day")
    number, litres = 0, 0.0
    if what is Turn.GIVEN_BEFORE:
        chosen = form.one_of("dose", [str(row.number) for row in not_given(state)])
        number = 0 if chosen is None else int(chosen)
        litres = form.number("litres", least=0, most=state.plan.target_litres) or 0.0
    if what is None or on is None or not form.sound:
        return None
    fault = _day_fault(state, what, on, today)
    if fault is not None:
        form.refuse("day", fault)
        return None
    return Told(what=what, on=on, dose=number, litres=litres)


def _day_fault(state: PlotState, what: Turn, on: date, today: date) -> Sentence | None:
    if days_between(on, today) > MOST_DAYS_BACK:
        return sentence("Write a day up to today, at most %(days)s days back.", days=MOST_DAYS_BACK)
    expected_on = state.bundle.planting.first_harvest_on
    if what in (Turn.RESOWN, Turn.PUT_OFF) and expected_on is not None and on >= expected_on:
        return sentence(
            "The first harvest is expected on %(day)s. Write an earlier day.", day=expected_on
        )
    return None


def note(desk: Desk, planting_id: int, told: Told) -> TurnOutcome:
    """Make a fact of what was told, and return what follows."""
    match told.what:
        case Turn.FAILED:
            return confirm_failed(desk, planting_id, on=told.on)
        case Turn.RESOWN:
            return confirm_resown(desk, planting_id, on=told.on)
        case Turn.PUT_OFF:
            return put_off(desk, planting_id, on=told.on)
        case Turn.GIVEN_BEFORE:
            return given_elsewhere(desk, planting_id, told.dose, on=told.on, litres=told.litres)
        case Turn.GO_ON:
            return go_on_after_burn(desk, planting_id)


def fault_field(hint: str) -> str:
    """Return the field beside which a refused turn is explained."""
    if hint in _OF_THE_DOSE:
        return "dose"
    if hint in _OF_THE_LITRES:
        return "litres"
    return "what" if hint in _OF_THE_TURN else "day"
