"""A planting: its season, why each day and amount is as it is, and what has happened to it."""

from functools import partial

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from service.confirmations.outcomes import Desk, NeedsReading
from service.confirmations.plot_state import PlotState, look
from service.planning.allotting import eaters_of
from service.records.engine import Session
from service.records.fields import Source
from service.web.asked import Spoken, ask_why
from service.web.can_words import EATERS
from service.web.day_reasons import day_answers
from service.web.dose_reasons import dose_answers
from service.web.form import Form
from service.web.here import here
from service.web.hints import hint_words
from service.web.outcome_words import outcome_words
from service.web.paging import SIZE, asked_page, pages_of
from service.web.planting_heading import planting_heading, small_text
from service.web.planting_news import (
    LABELS,
    MOST_DAYS_BACK,
    fault_field,
    news_choices,
    note,
    offered,
    told_of,
)
from service.web.planting_sheet import (
    Reader,
    code_of,
    counts_from_planting_out,
    dose_lines,
    dose_words,
    doses_left,
    harvest_days,
    shortfall_litres,
    warnings,
)
from service.web.planting_standing import closed_words, site_of
from service.web.planting_told import fact_lines, hold_lines
from service.web.planting_turns import waits_after_burn
from service.web.planting_words import RULES
from service.web.reasons import amount_answers, pattern_answers
from service.web.saving import Done, save_once, staff_desk
from service.web.season_drawing import season_drawing
from service.web.sentence import sentence
from service.web.source_words import had_words, together
from service.web.when import When

page = Blueprint("plantings", __name__)


@page.get("/plantings/<id:planting_id>")
def show(planting_id: int) -> str:
    """Show a planting's season: its days, doses and amounts, and what was said about it."""
    with here().reading() as session:
        state = _look(session, planting_id)
    reader = _reader()
    facts, number = fact_lines(state, reader), asked_page()
    return render_template(
        "plantings/show.html",
        state=state,
        heading=planting_heading(state),
        what=_what(state),
        closed=closed_words(state),
        site=site_of(state.bundle.plot),
        burnt=waits_after_burn(state),
        eaters=EATERS[eaters_of(state.bundle)],
        transplanted=counts_from_planting_out(state),
        left=len(doses_left(state)),
        doses=dose_lines(state, reader),
        drawing=season_drawing(state, reader),
        rule=RULES[state.plan.cutoff_rule],
        harvest=harvest_days(state, reader.today),
        shortfall=shortfall_litres(state),
        warnings=warnings(state),
        holds=hold_lines(state, reader),
        facts=facts[(number - 1) * SIZE : number * SIZE],
        pages=pages_of(len(facts), number),
    )


@page.get("/plantings/<id:planting_id>/why")
def why(planting_id: int) -> str:
    """Show the rule, the numbers and the source behind each day and amount."""
    with here().reading() as session:
        state = _look(session, planting_id)
        crop = small_text(f"crop.{state.bundle.planting.crop}")
        spoken = Spoken(reader=_reader(), crop=crop, what=_what(state))
        asked = ask_why(session, state, spoken)
    return render_template(
        "plantings/why.html",
        state=state,
        heading=planting_heading(state),
        seasonal=(*day_answers(asked), *pattern_answers(asked), *amount_answers(asked)),
        doses=dose_answers(asked),
        had=had_words,
        together=together,
        in_source=partial(_in_source, state),
    )


@page.get("/plantings/<id:planting_id>/news")
def ask(planting_id: int) -> str:
    """Ask what has happened."""
    form = Form(locale=here().tongue.locale, typed={"when": When.TODAY.value})
    return _ask(planting_id, form)


@page.post("/plantings/<id:planting_id>/news")
def save(planting_id: int) -> Response | tuple[str, int] | str:
    """Note what has happened; what cannot be right is asked again, with all that was typed."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _ask(planting_id, form)
    answer = save_once(form, lambda session: _save(session, form, planting_id))
    return answer or (_ask(planting_id, form), 422)


def _ask(planting_id: int, form: Form) -> str:
    with here().reading() as session:
        state = _look(session, planting_id)
    reader, rows = _reader(), offered(state, here().today)
    say = reader.tongue.say
    return render_template(
        "plantings/news.html",
        state=state,
        heading=planting_heading(state),
        closed=closed_words(state),
        form=form,
        labels=LABELS,
        choices=[(what.value, say(words)) for what, words in news_choices(rows)],
        doses=[(str(row.number), say(dose_words(state, row, reader))) for row in rows],
        most_days=MOST_DAYS_BACK,
    )


def _save(session: Session, form: Form, planting_id: int) -> Done | None:
    desk = _desk(session)
    state = look(desk, planting_id)
    if state.bundle.planting.closed_on is not None:
        form.refuse("what", sentence("This planting is closed. Nothing more can be noted for it."))
        return None
    told = told_of(form, state, desk.today)
    if told is None:
        return None
    outcome = note(desk, planting_id, told)
    if isinstance(outcome, NeedsReading):
        form.refuse(fault_field(form, told.what, outcome.hint), hint_words(outcome.hint))
        return None
    after = look(desk, planting_id)
    following = after.later_dose(desk.today)
    return Done(
        location=url_for("plantings.show", planting_id=planting_id),
        said=outcome_words(
            outcome, next_code="" if following is None else code_of(after, following.number)
        ),
    )


def _desk(session: Session) -> Desk:
    return staff_desk(session, Source.CALL)


def _look(session: Session, planting_id: int) -> PlotState:
    return look(_desk(session), planting_id)


def _reader() -> Reader:
    asked = here()
    return Reader(tongue=asked.tongue, zone=asked.zone, today=asked.today)


def _what(state: PlotState) -> str:
    household = state.bundle.household
    if household.discreet:
        return household.word or small_text("what.discreet")
    return small_text("what.plain")


def _in_source(state: PlotState, source: str) -> str:
    if not state.bundle.household.discreet:
        return source
    plain = here().services.catalogue.languages["en"].texts["what.plain"]
    return source.replace(plain, _what(state))  # sources stand in English only
