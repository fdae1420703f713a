"""What a correction changes in the plans, a line for each dose that is another than before."""

from collections.abc import Mapping, Sequence
from datetime import date

from service.agronomy.changes import Change, ChangeKind, changes
from service.agronomy.dose_days import DropReason, MoveReason
from service.confirmations.staff_outcomes import Replanned
from service.web.planting_words import DROPPED, DROPPED_OTHERWISE
from service.web.sentence import Sentence, sentence

MOST_LINES = 10  # a cookie carries them to the next page

_MOVED: Mapping[MoveReason, Sentence] = {
    MoveReason.GAP: sentence("it keeps clear of the dose before it"),
    MoveReason.HOLD: sentence("nothing is given on the days before"),
    MoveReason.AVOIDED: sentence("no dose work on the day of the week before"),
}
_BY_PATTERN = sentence("the days of its pattern have moved")


def plan_notes(plans: Sequence[Replanned], *, today: date) -> tuple[Sentence, ...]:
    """Return a line for each dose that is now another, a few at most; one line if none is."""
    found = [
        _line(plan, change)
        for plan in plans
        for change in changes(plan.before, plan.after)
        if _to_come(change, today)
    ]
    if not found:
        return (sentence("No dose to come has changed."),)
    more = len(found) - MOST_LINES
    if more <= 0:
        return tuple(found)
    rest = sentence("%(n)s more doses have changed: look at the plantings.", n=more)
    return (*found[:MOST_LINES], rest)


def _to_come(change: Change, today: date) -> bool:
    return any(day is not None and day >= today for day in (change.before_on, change.after_on))


def _line(plan: Replanned, change: Change) -> Sentence:
    values = {
        "code": f"{plan.letter or ''}{change.number}",
        "before": change.before_on,
        "after": change.after_on,
        "was": change.before_litres or 0,
        "litres": change.after_litres or 0,
    }
    match change.kind:
        case ChangeKind.LITRES:
            return sentence(
                "%(code)s on %(after)s: %(litres)s L, before %(was)s L.",
                **values,
            )
        case ChangeKind.MOVED:
            return sentence(
                "%(code)s moves from %(before)s to %(after)s, %(litres)s L, before %(was)s L:"
                " %(why)s.",
                why=_why_moved(change),
                **values,
            )
        case ChangeKind.DROPPED | ChangeKind.GONE:
            return sentence(
                "%(code)s of %(before)s is left out. %(why)s", why=_why_dropped(change), **values
            )
        case ChangeKind.BACK | ChangeKind.ADDED:
            return sentence("%(code)s is planned for %(after)s: %(litres)s L.", **values)


def _why_moved(change: Change) -> Sentence:
    for why in change.why:
        if isinstance(why, MoveReason):
            return _MOVED[why]
    return _BY_PATTERN


def _why_dropped(change: Change) -> Sentence:
    for why in change.why:
        if isinstance(why, DropReason):
            return DROPPED.get(why.value, DROPPED_OTHERWISE)
    return DROPPED_OTHERWISE
