"""The menu as a machine: a state and an input give a state, a screen, and what is to be done. Pure.

1. A fact is reported only from a question that was shown and answered by yes.
2. Every screen can be left, and what cannot be understood changes nothing but a count.
3. Of a home on a shared phone nothing is shown before that home was chosen.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.ussd import keys
from service.ussd.facts import Facts, Line, Report, Shown, line_of
from service.ussd.places import Choice, card_of, start_of
from service.ussd.reports import report_of, text_instead
from service.ussd.screens import list_screen, pages_of, said_pages, said_screen
from service.ussd.state import TOPS, Place, State

MOST_WRONG = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What an input led to; where there is a report, its answer is yet to be shown."""

    state: State
    shown: Shown
    report: Report | None = None


def begin(facts: Facts, *, before: State | None = None) -> State:
    """Return where a session begins; `before` is where a dropped one of this phone stood."""
    if before is not None and before.place in {Place.RESUME, Place.HOMES}:
        before = before.before
    start = start_of(facts)
    if before is None or before.place in TOPS or _sound(before, facts) != before:
        return start
    if before.home is not None and facts.home(before.home) is None:
        return start
    return State(place=Place.RESUME, before=replace(before, before=None))


def walk(state: State, inputs: Sequence[str], facts: Facts) -> Step:
    """Take inputs one after the other, as far as the first question that asks for a yes.

    What was dialled beyond it is dropped, since nobody has seen the question yet.
    """
    done = step(state, inputs[0] if inputs else "", facts)
    for typed in inputs[1:]:
        if done.report is not None or done.shown.finish or done.state.wrong:
            break
        if done.state.place is Place.CONFIRM:
            break
        done = step(done.state, typed, facts)
    return done


def step(state: State, typed: str, facts: Facts) -> Step:
    """Take one input, empty to see the screen again."""
    if state.place is Place.SAID:
        return _step_in_answer(state, typed)
    sound = _sound(state, facts)
    if sound != state:
        return _at(sound, facts)  # what was typed was meant for another screen
    match typed:
        case "":
            return _at(state, facts)
        case keys.LEAVE:
            return _leave(state, line_of("bye"))
        case keys.BACK:
            return _back(state, facts)
        case _:
            return _typed(state, typed, facts)


def said(state: State, texts: Sequence[str], facts: Facts) -> Step:
    """Return the answer to a report, on as many screens as it takes."""
    pages = said_pages(texts, facts.fits)
    if not pages:
        return _leave(state, line_of("noted"))
    shown = replace(state, place=Place.SAID, said=pages, page=0, wrong=0, before=None)
    return Step(state=shown, shown=said_screen(shown))


def _typed(state: State, typed: str, facts: Facts) -> Step:
    pages = pages_of(card_of(state, facts), state, facts.fits)
    page = min(state.page, len(pages) - 1)
    if typed == keys.MORE and page < len(pages) - 1:
        return _at(replace(state, page=page + 1, wrong=0), facts)
    place = int(typed) if typed.isdecimal() and len(typed) == 1 else 0
    if 1 <= place <= len(pages[page]):
        return _choose(state, pages[page][place - 1], facts)
    return _wrong(state, facts)


def _at(state: State, facts: Facts) -> Step:
    return Step(state=state, shown=_screen(state, facts))


def _screen(state: State, facts: Facts) -> Shown:
    return list_screen(card_of(state, facts), state, facts)


def _leave(state: State, line: Line) -> Step:
    return Step(state=state, shown=Shown(lines=(line,), finish=True))


def _choose(state: State, choice: Choice, facts: Facts) -> Step:
    if choice.reports:
        going = replace(choice.go, wrong=0)
        return Step(state=going, shown=_screen(state, facts), report=report_of(going, facts))
    if choice.restores:
        return step(choice.go, "", facts)
    trail = (*state.trail, (state.place, state.page))
    return _at(replace(choice.go, trail=trail, page=0, wrong=0), facts)


def _back(state: State, facts: Facts) -> Step:
    if state.place is Place.RESUME:
        return _at(start_of(facts), facts)
    if state.page:
        return _at(replace(state, page=state.page - 1, wrong=0), facts)
    if not state.trail:
        return _leave(state, line_of("bye"))
    place, page = state.trail[-1]
    earlier = replace(state, place=place, page=page, trail=state.trail[:-1], wrong=0)
    if place not in {Place.DAYS, Place.CONFIRM}:
        earlier = replace(earlier, meaning=None, on=None)
    return _at(_sound(earlier, facts), facts)


def _wrong(state: State, facts: Facts) -> Step:
    counted = replace(state, wrong=state.wrong + 1)
    if counted.wrong >= MOST_WRONG:
        return _leave(counted, line_of("wrong.end", {"code": text_instead(state, facts)}))
    return _at(counted, facts)


def _step_in_answer(state: State, typed: str) -> Step:
    if typed == keys.LEAVE or (typed == keys.BACK and state.page == 0):
        return _leave(state, line_of("bye.said"))
    if typed == keys.MORE and state.page < len(state.said) - 1:
        state = replace(state, page=state.page + 1, wrong=0)
    elif typed == keys.BACK:
        state = replace(state, page=state.page - 1, wrong=0)
    elif typed:
        state = replace(state, wrong=state.wrong + 1)
        if state.wrong >= MOST_WRONG:
            return _leave(state, line_of("bye.said"))
    return Step(state=state, shown=said_screen(state))


def _sound(state: State, facts: Facts) -> State:
    """Return the state, or the start where what it stands on is not there any more."""
    start = start_of(facts)
    if state.place in {Place.RESUME, Place.SAID}:
        return state
    top = state.trail[0][0] if state.trail else state.place
    gone = state.home is not None and facts.home(state.home) is None
    if state.plot is not None and facts.plot(state.home, state.plot) is None:
        gone = True
    if state.place is Place.JOB and not gone:
        plot = facts.plot(state.home, state.plot)
        gone = plot is None or all(job.number != state.dose for job in plot.jobs)
    return start if gone or top is not start.place else state
