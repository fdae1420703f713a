"""What is told of a planting more rarely: the turns of its season, and who eats its crop."""

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from service.agronomy.regimes import Regime
from service.confirmations.ground_news import set_eaters
from service.confirmations.outcomes import NeedsReading
from service.confirmations.plot_state import PlotState, look
from service.records.engine import Session
from service.records.fields import Source
from service.web.can_words import EATERS
from service.web.change_words import plan_notes
from service.web.form import Form
from service.web.ground_words import ground_words
from service.web.here import here
from service.web.hints import hint_words
from service.web.planting_heading import planting_heading
from service.web.planting_sheet import Reader, dose_words
from service.web.planting_standing import closed_words
from service.web.planting_turns import (
    LABELS,
    fault_field,
    not_given,
    note,
    told_of,
    turn_choices,
)
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import sentence
from service.web.turn_words import turn_words

page = Blueprint("turns", __name__)

HOUSEHOLD = "household"
EATS = {"eats": sentence("Who eats this crop?")}
Answer = Response | tuple[str, int] | str


@page.get("/plantings/<id:planting_id>/turn")
def ask(planting_id: int) -> str:
    """Ask which turn the season took."""
    return _ask(planting_id, Form(locale=here().tongue.locale))


@page.post("/plantings/<id:planting_id>/turn")
def save(planting_id: int) -> Answer:
    """Note the turn; what cannot be right is asked again, with all that was typed."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _ask(planting_id, form)
    answer = save_once(form, lambda session: _save(session, form, planting_id))
    return answer or (_ask(planting_id, form), 422)


@page.get("/plantings/<id:planting_id>/eaters")
def ask_eaters(planting_id: int) -> str:
    """Ask who eats this crop."""
    with here().reading() as session:
        regime = _look(session, planting_id).bundle.planting.regime
    typed = {"eats": HOUSEHOLD if regime is None else regime.value}
    return _ask_eaters(planting_id, Form(locale=here().tongue.locale, typed=typed))


@page.post("/plantings/<id:planting_id>/eaters")
def save_eaters(planting_id: int) -> Answer:
    """Note who eats this crop, and plan anew: they decide how long its cans rest."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _ask_eaters(planting_id, form)
    answer = save_once(form, lambda session: _save_eaters(session, form, planting_id))
    return answer or (_ask_eaters(planting_id, form), 422)


def _ask(planting_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        state = _look(session, planting_id)
    reader = Reader(tongue=asked.tongue, zone=asked.zone, today=asked.today)
    say = asked.tongue.say
    return render_template(
        "plantings/turn.html",
        state=state,
        heading=planting_heading(state),
        closed=closed_words(state),
        form=form,
        labels=LABELS,
        choices=[(what.value, say(words)) for what, words in turn_choices(state)],
        doses=[(str(row.number), say(dose_words(state, row, reader))) for row in not_given(state)],
    )


def _save(session: Session, form: Form, planting_id: int) -> Done | None:
    desk = staff_desk(session, Source.CALL)
    told = told_of(form, look(desk, planting_id), desk.today)
    if told is None:
        return None
    outcome = note(desk, planting_id, told)
    if isinstance(outcome, NeedsReading):
        form.refuse(fault_field(outcome.hint), hint_words(outcome.hint))
        return None
    return Done(
        location=url_for("plantings.show", planting_id=planting_id), said=turn_words(outcome)
    )


def _ask_eaters(planting_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        state = _look(session, planting_id)
    say = asked.tongue.say
    own = state.bundle.household.regime
    as_household = sentence("As in the whole household: %(eaters)s", eaters=EATERS[own])
    return render_template(
        "plantings/eaters.html",
        state=state,
        heading=planting_heading(state),
        closed=closed_words(state),
        form=form,
        labels=EATS,
        choices=[
            (HOUSEHOLD, say(as_household)),
            *((regime.value, say(words)) for regime, words in EATERS.items()),
        ],
    )


def _save_eaters(session: Session, form: Form, planting_id: int) -> Done | None:
    chosen = form.one_of("eats", [HOUSEHOLD, *(regime.value for regime in Regime)])
    if chosen is None:
        return None
    desk = staff_desk(session, Source.CALL)
    regime = None if chosen == HOUSEHOLD else Regime(chosen)
    outcome = set_eaters(desk, planting_id, regime)
    if isinstance(outcome, NeedsReading):
        form.refuse("eats", hint_words(outcome.hint))
        return None
    return Done(
        location=url_for("plantings.show", planting_id=planting_id),
        said=ground_words(outcome),
        notes=plan_notes(outcome.plans, today=desk.today),
    )


def _look(session: Session, planting_id: int) -> PlotState:
    return look(staff_desk(session, Source.CALL), planting_id)
