"""What a member of staff writes down about a can: read from the form, and made a fact."""

from dataclasses import dataclass
from datetime import date

from service.confirmations.cans import STAFF_BACK_DAYS, note_can_event
from service.confirmations.outcomes import Desk, NeedsReading
from service.planning.stock import CanState
from service.records.containers_page import container_line
from service.records.fields import ContainerEventKind
from service.records.plantings import association
from service.web.can_words import CanView, can_view, ready_words
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
    ContainerEventKind.OPENED: sentence("opened: it is being filled from now on"),
    ContainerEventKind.SEALED: sentence("sealed: it is full and closed"),
    ContainerEventKind.REFILLED: sentence("topped up: more was added"),
    ContainerEventKind.EMPTIED: sentence("emptied"),
}
_CLOSED = (CanState.RESTING, CanState.READY)
_IN_FORCE = {
    ContainerEventKind.SEALED: _CLOSED,
    ContainerEventKind.OPENED: (CanState.FILLING,),
    ContainerEventKind.EMPTIED: (CanState.EMPTY,),
    ContainerEventKind.REFILLED: (),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing that happened to a can on a day."""

    what: ContainerEventKind
    on: date
    field: str  # beside which a doubt about the day is shown


def told_of(form: Form, today: date) -> Told | None:
    """Return what the form tells, or None after noting what is wrong with it."""
    what = form.choice("what", ContainerEventKind)
    on = told_day(form, today, most_days_back=STAFF_BACK_DAYS)
    if what is None or on is None:
        return None
    return Told(what=what, on=on, field=day_field(form))


def hint_before(view: CanView, today: date) -> Sentence:
    """Return what the coordinator should know before a can is topped up."""
    if view.can.state not in _CLOSED:
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
    row = association(desk.session, desk.association_id)
    line = container_line(desk.session, row.id, view.can.container_id)
    return _said(told, can_view(line, row, today=desk.today))


def _nothing_new(what: ContainerEventKind) -> Sentence:
    match what:
        case ContainerEventKind.SEALED:
            return sentence(
                "It is noted as sealed. If more was added since, choose topped up; if it was"
                " emptied, note that first."
            )
        case ContainerEventKind.EMPTIED:
            return sentence("It is noted as empty. There is nothing to note.")
        case ContainerEventKind.OPENED | ContainerEventKind.REFILLED:
            return sentence("It is noted as being filled. There is nothing to note.")


def _said(told: Told, view: CanView) -> Sentence:
    match told.what:
        case ContainerEventKind.OPENED:
            return sentence("The can is being filled since %(day)s.", day=told.on)
        case ContainerEventKind.EMPTIED:
            return sentence("The can was emptied on %(day)s.", day=told.on)
        case ContainerEventKind.SEALED:
            return sentence(
                "The can was sealed on %(day)s: %(ready)s.", day=told.on, ready=view.ready
            )
        case ContainerEventKind.REFILLED if view.ready is not None:
            return sentence(
                "The can was topped up on %(day)s, so its rest starts anew: now %(ready)s.",
                day=told.on,
                ready=view.ready,
            )
        case ContainerEventKind.REFILLED:
            return sentence(
                "The can was topped up on %(day)s. Its rest starts when it is sealed.", day=told.on
            )
