"""What a member of staff writes down about a planting: read from the form, and made a fact."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.calendar import days_between
from service.confirmations.crop_news import (
    confirm_burnt,
    confirm_harvest,
    confirm_rain,
    confirm_sown,
    confirm_up,
)
from service.confirmations.doses import EARLY_DAYS, confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk, Outcome
from service.confirmations.plot_state import PlotState
from service.records.fields import DoseRow, DoseState
from service.web.form import Form
from service.web.sentence import Sentence, sentence
from service.web.when import day_field, told_day

MOST_DAYS_BACK = 300  # project choice: a year earlier is surely mistyped


class News(StrEnum):
    """What may have happened."""

    DONE = "done"
    NOT_DONE = "not-done"
    SOWN = "sown"
    UP = "up"
    RAIN = "rain"
    BURNT = "burnt"
    HARVEST = "harvest"


DOSE_NEWS = (News.DONE, News.NOT_DONE)
_AS_OF_TODAY = (News.NOT_DONE, News.RAIN, News.BURNT)

_OF_THE_DOSE = ("no such dose", "was noted as done")

CHOICES = {
    News.DONE: sentence("A dose was done"),
    News.NOT_DONE: sentence("A dose was not done"),
    News.SOWN: sentence("It was sown or planted out"),
    News.UP: sentence("Most plants are up"),
    News.RAIN: sentence("Heavy rain: wait two days"),
    News.BURNT: sentence("Leaves are burnt"),
    News.HARVEST: sentence("It was harvested"),
}

LABELS = {
    "what": sentence("What happened?"),
    "dose": sentence("Which dose? (only for done or not done)"),
    "when": sentence("When?"),
    "day": sentence("Another day"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing that happened to a planting on a day; a dose has its number."""

    what: News
    on: date
    dose: int = 0


def told_of(form: Form, state: PlotState, today: date) -> Told | None:
    """Return what the form tells, or None after noting what is wrong with it."""
    what = form.choice("what", News)
    number = _dose(form, state) if what in DOSE_NEWS else 0
    on = told_day(form, today, most_days_back=MOST_DAYS_BACK)
    if what in _AS_OF_TODAY and on not in (None, today):
        form.refuse(day_field(form), sentence("This is noted as of today. Choose today."))
    if what is None or number is None or on is None or not form.sound:
        return None
    told = Told(what=what, on=on, dose=number)
    fault = _day_fault(state, told)
    if fault is not None:
        form.refuse(day_field(form), fault)
        return None
    return told


def _dose(form: Form, state: PlotState) -> int | None:
    numbers = [str(row.number) for row in state.bundle.doses]
    if form.value("dose") not in numbers:
        form.refuse("dose", sentence("Choose the dose that was done or not done."))
        return None
    return int(form.value("dose"))


def _day_fault(state: PlotState, told: Told) -> Sentence | None:
    planted_on, known_on = state.reports.planted_on, state.bundle.planting.first_harvest_on
    expected_on = known_on if told.what is News.SOWN else state.plan.first_harvest_on
    if told.what in (News.SOWN, News.UP) and expected_on is not None and told.on >= expected_on:
        return sentence(
            "The first harvest is expected on %(day)s. Write an earlier day.", day=expected_on
        )
    if told.what is News.HARVEST and told.on < planted_on:
        return sentence("It was sown or planted out on %(day)s. Write a later day.", day=planted_on)
    return None


def note(  # noqa: PLR0911 -- one return a kind of news
    desk: Desk, planting_id: int, told: Told
) -> Outcome:
    """Make a fact of what was told, and return what follows."""
    match told.what:
        case News.DONE:
            return confirm_done(desk, planting_id, told.dose, on=told.on)
        case News.NOT_DONE:
            return confirm_not_done(desk, planting_id, told.dose)
        case News.SOWN:
            return confirm_sown(desk, planting_id, on=told.on)
        case News.UP:
            return confirm_up(desk, planting_id, on=told.on)
        case News.RAIN:
            return confirm_rain(desk, planting_id)
        case News.BURNT:
            return confirm_burnt(desk, planting_id)
        case News.HARVEST:
            return confirm_harvest(desk, planting_id, on=told.on)


def fault_field(form: Form, what: News, hint: str) -> str:
    """Return the field beside which a refused report is explained."""
    if hint in _OF_THE_DOSE:
        return "dose"
    return "what" if what in _AS_OF_TODAY else day_field(form)


def news_choices(rows: Sequence[DoseRow]) -> list[tuple[News, Sentence]]:
    """Return what can be told now: nothing about a dose where none is open or late."""
    return [(what, words) for what, words in CHOICES.items() if rows or what not in DOSE_NEWS]


def offered(state: PlotState, today: date) -> list[DoseRow]:
    """Return the doses that may be told of: open or late, and the dropped ones whose day has come.

    A dropped dose may have been given all the same, and what is poured is poured.
    """
    return [
        row
        for row in state.bundle.doses
        if row.state is not DoseState.DONE and days_between(today, row.due_on) <= EARLY_DAYS
    ]
