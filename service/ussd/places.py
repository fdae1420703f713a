"""What each place of the menu asks, and where each answer leads. Pure.

A choice that is a fact leads to a question first; only what asks is done at once.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from service.agronomy.calendar import add_days
from service.inbound.reply_codes import Meaning
from service.ussd.facts import Facts, Home, Line, Plot, line_of
from service.ussd.reports import code_of_dose, question_of
from service.ussd.state import Place, State

_PLOT_NEWS = (
    ("plot.up", Meaning.UP),
    ("plot.sown", Meaning.SOWN),
    ("plot.rain", Meaning.RAIN),
    ("plot.burn", Meaning.BURN),
    ("plot.harvest", Meaning.HARVEST),
)
_UNDATED = frozenset({Meaning.RAIN, Meaning.BURN})


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One line to choose: where it leads, or that it is to be reported from there."""

    line: Line
    go: State
    reports: bool = False
    restores: bool = False  # the way back is the one that `go` brings along


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What a place asks, and the choices in the order in which they are shown."""

    title: Line
    choices: tuple[Choice, ...]


def start_of(facts: Facts) -> State:
    """Return where a new session begins."""
    if len(facts.homes) == 1 and not facts.shared:
        return State(place=Place.ROOT, home=facts.homes[0].id)
    return State(place=_TOP_OF[facts.standing.value])


_TOP_OF = {"member": Place.HOMES, "outside": Place.OUTSIDE, "stranger": Place.STRANGER}


def card_of(state: State, facts: Facts) -> Card:  # noqa: PLR0911 -- one return a place
    """Return what is asked at a place; a home, plot or job chosen before must be there still."""
    match state.place:
        case Place.HOMES:
            return Card(title=line_of("home.title"), choices=tuple(_homes(state, facts)))
        case Place.ROOT | Place.OUTSIDE | Place.STRANGER:
            title = line_of(f"{state.place.value}.title", {"group": facts.group})
            return Card(title=title, choices=tuple(_top(state, facts)))
        case Place.PLOTS:
            return _plots(state, facts.home(state.home))
        case Place.PLOT:
            return _plot(state, _chosen(state, facts))
        case Place.CANS:
            return _cans(state, facts.home(state.home))
        case Place.RESUME | Place.SAID:
            return Card(title=line_of("resume.title"), choices=(_going_on(state, facts),))
        case Place.DOSES | Place.JOB | Place.DAYS | Place.CONFIRM:
            return _report_card(state, state.place, facts)


def _report_card(
    state: State,
    place: Literal[Place.DOSES, Place.JOB, Place.DAYS, Place.CONFIRM],
    facts: Facts,
) -> Card:
    match place:
        case Place.DOSES:
            return _doses(state, _chosen(state, facts))
        case Place.JOB:
            return _job(state, _chosen(state, facts), facts.today)
        case Place.DAYS:
            return Card(title=_days_title(state, facts), choices=tuple(_days(state, facts)))
        case Place.CONFIRM:
            yes = Choice(line=line_of("confirm.yes"), go=state, reports=True)
            return Card(title=question_of(state, facts), choices=(yes,))


def _homes(state: State, facts: Facts) -> Iterator[Choice]:
    for home in facts.homes:
        line = line_of("home", {"label": home.label})
        if state.before is not None and state.before.home == home.id:
            yield Choice(line=line, go=state.before, restores=True)
        else:
            yield Choice(line=line, go=State(place=Place.ROOT, home=home.id))


def _top(state: State, facts: Facts) -> Iterator[Choice]:
    if state.place is Place.ROOT:
        yield Choice(line=line_of("root.plots"), go=replace(state, place=Place.PLOTS))
        yield Choice(line=line_of("root.can"), go=replace(state, place=Place.CANS))
    if state.place is Place.STRANGER:
        yield _asks(state, "root.join", Meaning.JOIN)
    if facts.may_start:
        yield _asks(state, "root.start", Meaning.START)
    if not facts.stopped:
        yield _asks(state, "root.stop", Meaning.STOP)
    helped = replace(state, meaning=Meaning.HELP)
    yield Choice(line=line_of("root.help"), go=helped, reports=True)


def _asks(state: State, name: str, meaning: Meaning) -> Choice:
    return Choice(line=line_of(name), go=replace(state, place=Place.CONFIRM, meaning=meaning))


def _chosen(state: State, facts: Facts) -> Plot:
    plot = facts.plot(state.home, state.plot)
    if plot is None:
        raise ValueError("the plot that was chosen is not there any more")
    return plot


def _named(name: str, plot: Plot) -> Line:
    if plot.crop is None:
        return line_of(f"{name}.bare", {"plot": plot.letter})
    return line_of(name, {"plot": plot.letter, "crop": plot.crop})


def _plots(state: State, home: Home | None) -> Card:
    plots = () if home is None else home.plots
    choices = (
        Choice(
            line=_named("plot", plot),
            go=replace(state, place=Place.PLOT, plot=plot.letter, meaning=None, on=None),
        )
        for plot in plots
    )
    return Card(title=line_of("plots.title" if plots else "plots.none"), choices=tuple(choices))


def _plot(state: State, plot: Plot) -> Card:
    fresh = replace(state, meaning=None, dose=None, on=None)
    to_job = replace(fresh, place=Place.DOSES)
    if len(plot.jobs) == 1:
        to_job = replace(fresh, place=Place.JOB, dose=plot.jobs[0].number)
    choices = [Choice(line=line_of("plot.job"), go=to_job)]
    for name, meaning in _PLOT_NEWS:
        place = Place.CONFIRM if meaning in _UNDATED else Place.DAYS
        choices.append(Choice(line=line_of(name), go=replace(fresh, place=place, meaning=meaning)))
    asked = replace(fresh, meaning=Meaning.WHY)
    choices.append(Choice(line=line_of("plot.why"), go=asked, reports=True))
    return Card(title=_named("plot.title", plot), choices=tuple(choices))


def _doses(state: State, plot: Plot) -> Card:
    choices = (
        Choice(
            line=line_of(
                "dose", {"code": f"{plot.letter}{job.number}", "day": job.due_on.isoformat()}
            ),
            go=replace(state, place=Place.JOB, dose=job.number),
        )
        for job in plot.jobs
    )
    name = "doses.title" if plot.jobs else "doses.none"
    return Card(title=line_of(name, {"plot": plot.letter}), choices=tuple(choices))


def _job(state: State, plot: Plot, today: date) -> Card:
    due_on = next(job.due_on for job in plot.jobs if job.number == state.dose)
    done = replace(state, meaning=Meaning.DONE)
    undone = replace(state, place=Place.CONFIRM, meaning=Meaning.NOT_DONE, on=None)
    return Card(
        title=line_of("job.title", {"code": code_of_dose(state), "day": due_on.isoformat()}),
        choices=(
            Choice(line=line_of("job.today"), go=replace(done, place=Place.CONFIRM, on=today)),
            Choice(line=line_of("job.other"), go=replace(done, place=Place.DAYS)),
            Choice(line=line_of("job.no"), go=undone),
        ),
    )


def _cans(state: State, home: Home | None) -> Card:
    cans = () if home is None else home.cans
    choices = (
        Choice(
            line=line_of("can", {"n": number}),
            go=replace(state, place=Place.DAYS, can=number, meaning=Meaning.SEALED),
        )
        for number in cans
    )
    return Card(title=line_of("cans.title" if cans else "cans.none"), choices=tuple(choices))


def _days_title(state: State, facts: Facts) -> Line:
    question = question_of(state, facts)
    fields = {name: value for name, value in question.fields.items() if name != "day"}
    return line_of(question.name.replace("confirm.", "days."), fields)


def _days(state: State, facts: Facts) -> Iterator[Choice]:
    meaning = Meaning.HELP if state.meaning is None else state.meaning
    first = 1 if meaning is Meaning.DONE else 0  # today has a choice of its own there
    for ago in range(first, facts.back_days.get(meaning, 0) + 1):
        on = add_days(facts.today, -ago)
        names = {0: "day.today", 1: "day.yesterday"}
        line = line_of(names[ago]) if ago in names else line_of("day", {"day": on.isoformat()})
        yield Choice(line=line, go=replace(state, place=Place.CONFIRM, on=on))


def _going_on(state: State, facts: Facts) -> Choice:
    before = state.before or start_of(facts)
    if facts.shared and before.home is not None:
        # whoever holds a shared phone now chooses the home again before anything of it is shown
        return Choice(
            line=line_of("resume.on"), go=State(place=Place.HOMES, before=before), restores=True
        )
    return Choice(line=line_of("resume.on"), go=replace(before, wrong=0), restores=True)
