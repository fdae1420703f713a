"""What a member of staff writes down about a can: read from the form, and made a fact."""

from dataclasses import dataclass
from datetime import date

from service.agronomy.containers import CanEventKind, CanState
from service.confirmations.cans import STAFF_BACK_DAYS, note_can_event
from service.confirmations.outcomes import Desk, NeedsReading
from service.records.containers_page import container_line
from service.web.can_words import CanView, ready_words
from service.web.form import Form
from service.web.hints import hint_words
from service.web.sentence import Sentence, sentence
from service.web.when import day_field, told_day

LABELS = {
    "what": sentence("What happened?"),
    "when": sentence("When?"),
    "day": sentence("Another day"),
}
CHOICES = {
    CanEventKind.OPENED: sentence("opened: it is being filled from now on"),
    CanEventKind.SEALED: sentence("sealed: it is full and closed"),
    CanEventKind.REFILLED: sentence("topped up: more was added"),
    CanEventKind.EMPTIED: sentence("emptied"),
    CanEventKind.LEAKED: sentence("found leaking: nothing in it can be counted on"),
}
_CLOSED = (CanState.RESTING, CanState.READY)
_IN_FORCE = {
    CanEventKind.SEALED: _CLOSED,
    CanEventKind.OPENED: (CanState.FILLING,),
    CanEventKind.EMPTIED: (CanState.EMPTY,),
    CanEventKind.REFILLED: (),
    CanEventKind.LEAKED: (CanState.EMPTY,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing that happened to a can on a day."""

    what: CanEventKind
    on: date
    field: str  # beside which a doubt about the day is shown


def told_of(form: Form, today: date) -> Told | None:
    """Return what the form tells, or None after noting what is wrong with it."""
    what = form.choice("what", CanEventKind)
    on = told_day(form, today, most_days_back=STAFF_BACK_DAYS)
    if what is None or on is None:
        return None
    return Told(what=what, on=on, field=day_field(form))


def hint_before(view: CanView, today: date) -> Sentence:
    """Return what the coordinator should know before a can is topped up."""
    if view.can.sealed_on is None:
        return sentence("The rest is counted from the day of sealing, not from the first filling.")
    return sentence(
        "Whatever is added to a sealed can starts its rest anew. Topped up today: %(ready)s.",
        ready=ready_words(view.line.household.regime, today, view),
    )


def write_down(desk: Desk, view: CanView, told: Told, form: Form) -> Sentence | None:
    """Note what happened; return the line that says so, None after noting what is wrong."""
    if view.can.state in _IN_FORCE[told.what]:
        form.refuse("what", _nothing_new(told.what))
        return None
    outcome = note_can_event(desk, view.can, told.what, on=told.on)
    if isinstance(outcome, NeedsReading):
        form.refuse(told.field, hint_words(outcome.hint))
        return None
    line = container_line(desk.session, desk.association_id, view.can.container_id)
    return _said(told, CanView(line=line, can=outcome.can))


def _nothing_new(what: CanEventKind) -> Sentence:
    match what:
        case CanEventKind.SEALED:
            return sentence(
                "It is noted as sealed. If more was added since, choose topped up; if it was"
                " emptied, note that first."
            )
        case CanEventKind.EMPTIED | CanEventKind.LEAKED:
            return sentence("It is noted as empty. There is nothing to note.")
        case CanEventKind.OPENED | CanEventKind.REFILLED:
            return sentence("It is noted as being filled. There is nothing to note.")


def _said(told: Told, view: CanView) -> Sentence:
    match told.what:
        case CanEventKind.OPENED:
            return sentence("The can is being filled since %(day)s.", day=told.on)
        case CanEventKind.EMPTIED:
            return sentence("The can was emptied on %(day)s.", day=told.on)
        case CanEventKind.LEAKED:
            return sentence(
                "The can was found leaking on %(day)s. It counts as empty: mend or change it"
                " before it is filled again.",
                day=told.on,
            )
        case CanEventKind.SEALED:
            return sentence(
                "The can was sealed on %(day)s: %(ready)s.", day=told.on, ready=view.ready
            )
        case CanEventKind.REFILLED if view.ready is not None:
            return sentence(
                "The can was topped up on %(day)s, so its rest starts anew: now %(ready)s.",
                day=told.on,
                ready=view.ready,
            )
        case CanEventKind.REFILLED:
            return sentence(
                "The can was topped up on %(day)s. Its rest starts when it is sealed.", day=told.on
            )
