"""What a place in the menu reports: the same reading as the text code that says it. Pure."""

from service.agronomy.calendar import days_between
from service.inbound.reply_codes import Item, Meaning, Reading
from service.ussd.facts import Facts, Line, Report, line_of
from service.ussd.state import State

_DATED = frozenset({Meaning.DONE, Meaning.UP, Meaning.SOWN, Meaning.HARVEST, Meaning.SEALED})
_ABOUT_A_DOSE = frozenset({Meaning.DONE, Meaning.NOT_DONE})


def report_of(state: State, facts: Facts) -> Report:
    """Return what would be reported from here.

    Raises:
        ValueError: nothing was chosen to report.
    """
    if state.meaning is None:
        raise ValueError("nothing was chosen")
    return Report(
        reading=Reading(meaning=state.meaning, items=_items(state, facts)), code=_code(state, facts)
    )


def question_of(state: State, facts: Facts) -> Line:
    """Return the question that is answered by yes before a fact is written."""
    meaning = Meaning.HELP if state.meaning is None else state.meaning
    fields: dict[str, object] = {}
    if meaning in _DATED:
        fields["day"] = "" if state.on is None else state.on.isoformat()
    if meaning is Meaning.SEALED:
        fields["n"] = state.can
    elif meaning in _ABOUT_A_DOSE:
        fields["code"] = code_of_dose(state)
    elif meaning is Meaning.JOIN:
        fields["group"] = facts.group
    elif meaning not in {Meaning.STOP, Meaning.START}:
        fields["plot"] = state.plot
    return line_of(f"confirm.{meaning.value}", fields)


def text_instead(state: State, facts: Facts) -> Line:
    """Return the code to text in place of what was begun here, or the one that asks for help."""
    if state.meaning is not None:
        return _code(state, facts)
    plot = facts.plot(state.home, state.plot)
    if plot is not None and plot.jobs:
        return line_of("code.done", {"code": f"{plot.letter}{plot.jobs[-1].number}"})
    return line_of("code.help")


def code_of_dose(state: State) -> str:
    """Return the letter and number of the dose that was chosen."""
    return f"{state.plot}{state.dose}"


def _days_ago(state: State, facts: Facts) -> int:
    if state.on is None or state.meaning not in _DATED:
        return 0
    return max(0, days_between(state.on, facts.today))


def _items(state: State, facts: Facts) -> tuple[Item, ...]:
    days_ago = _days_ago(state, facts)
    match state.meaning:
        case Meaning.STOP | Meaning.START | Meaning.HELP | Meaning.JOIN:
            return ()
        case Meaning.SEALED:
            return (Item(can=state.can, days_ago=days_ago),)
        case Meaning.DONE | Meaning.NOT_DONE:
            return (Item(plot=state.plot, dose=state.dose, days_ago=days_ago),)
        case _:
            return (Item(plot=state.plot, days_ago=days_ago),)


def _code(state: State, facts: Facts) -> Line:
    meaning = Meaning.HELP if state.meaning is None else state.meaning
    fields: dict[str, object] = {}
    match meaning:
        case Meaning.STOP | Meaning.START | Meaning.HELP | Meaning.JOIN:
            pass
        case Meaning.SEALED:
            fields["n"] = state.can
        case Meaning.DONE | Meaning.NOT_DONE:
            fields["code"] = code_of_dose(state)
        case _:
            fields["plot"] = state.plot
    days_ago = _days_ago(state, facts)
    if days_ago == 0:
        return line_of(f"code.{meaning.value}", fields)
    return line_of(f"code.{meaning.value}.ago", {**fields, "days": days_ago})
