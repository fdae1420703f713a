"""A plot: its area, its soil and its ground, each to be corrected, and what that changes."""

from collections.abc import Callable, Mapping

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from service.agronomy.season import Soil
from service.confirmations.ground_news import (
    correct_area,
    correct_soil,
    decide_site,
    tell_site,
    withdraw_site,
)
from service.confirmations.outcomes import Desk, NeedsReading
from service.confirmations.staff_outcomes import GroundOutcome
from service.enrolment.faults import Faults
from service.enrolment.ground import Area, area_of
from service.records.engine import Session
from service.records.enrolment import plantings_on_plot, plot_by_id
from service.records.fields import PlotRow, Source
from service.records.household_page import household_by_id
from service.records.limits import LIMITS
from service.web.change_words import plan_notes
from service.web.enrol_form import ground_of, note_faults
from service.web.enrol_words import LABELS as ENROL_LABELS
from service.web.enrol_words import SOILS
from service.web.form import Form
from service.web.ground_words import ground_words
from service.web.here import here
from service.web.hints import hint_words
from service.web.household_words import soil_words, texture_words, water_warnings, water_words
from service.web.planting_standing import site_of
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import sentence
from service.web.site_form import NO_RISK, site_told, site_typed

page = Blueprint("plots", __name__)

WHY = "why"
LABELS = {**ENROL_LABELS, WHY: sentence("Why may it be used all the same?")}
Answer = Response | tuple[str, int] | str


@page.get("/plots/<id:plot_id>")
def show(plot_id: int) -> str:
    """Show a plot, and ask what is to be corrected."""
    return _show(plot_id, {})


@page.post("/plots/<id:plot_id>/<part>")
def save(plot_id: int, part: str) -> Answer:
    """Correct one part of a plot, and say what that changes in the plans."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if part not in _SAVERS:
        abort(404)
    if form.resumed:
        return _show(plot_id, {part: form})
    answer = save_once(form, lambda session: _save(session, form, plot_id, part))
    return answer or (_show(plot_id, {part: form}), 422)


def _show(plot_id: int, sent: Mapping[str, Form]) -> str:
    asked = here()
    with asked.reading() as session:
        plot = plot_by_id(session, asked.association_id, plot_id)
        home = household_by_id(session, asked.association_id, plot.household_id).household
        plantings = plantings_on_plot(session, asked.association_id, plot_id)
    locale, say = asked.tongue.locale, asked.tongue.say
    typed = {"soil": {"soil": plot.soil.value}, "ground": site_typed(plot)}
    forms = {part: Form(locale=locale, typed=typed.get(part, {})) for part in _SAVERS}
    return render_template(
        "plots/show.html",
        plot=plot,
        home=home,
        open=[row for row in plantings if row.closed_on is None],
        site=site_of(plot),
        soil=soil_words(plot.soil),
        texture=None if plot.texture is None else texture_words(plot.texture),
        water=None if plot.water_m is None else water_words(plot.water_kind),
        water_warnings=water_warnings(plot),
        forms={**forms, **sent},
        faulty=next((form for form in sent.values()), Form(locale=locale)),
        labels=LABELS,
        soils=[(value, say(words)) for value, words in SOILS],
        most_why=LIMITS.characters["site_why"],
    )


def _save(session: Session, form: Form, plot_id: int, part: str) -> Done | None:
    desk = staff_desk(session, Source.FORM)
    plot = plot_by_id(session, desk.association_id, plot_id)
    outcome = _SAVERS[part](desk, form, plot)
    if outcome is None:
        return None
    if isinstance(outcome, NeedsReading):
        form.refuse(_FIELDS[part], hint_words(outcome.hint))
        return None
    return Done(
        location=url_for("plots.show", plot_id=plot_id),
        said=ground_words(outcome),
        notes=plan_notes(outcome.plans, today=desk.today),
    )


def _area(desk: Desk, form: Form, plot: PlotRow) -> GroundOutcome | None:
    ground = ground_of(form)
    if ground is None:
        return None
    area = area_of(ground)
    if not isinstance(area, Area):
        note_faults(form, Faults(faults=area))
        return None
    return correct_area(desk, plot.id, area_m2=area.m2, measured=area.measured)


def _soil(desk: Desk, form: Form, plot: PlotRow) -> GroundOutcome | None:
    soil = form.choice("soil", Soil)
    return None if soil is None else correct_soil(desk, plot.id, soil)


def _ground(desk: Desk, form: Form, plot: PlotRow) -> GroundOutcome | None:
    hazards = site_told(form)
    if hazards is None:
        form.refuse(NO_RISK, sentence("Tick what is true, or that none of these is."))
    if hazards is None or not form.sound:
        return None
    return tell_site(desk, plot.id, hazards)


def _decision(desk: Desk, form: Form, plot: PlotRow) -> GroundOutcome | None:
    why = form.text(WHY, most=LIMITS.characters["site_why"])
    return None if why is None else decide_site(desk, plot.id, why=why)


def _withdrawal(desk: Desk, _: Form, plot: PlotRow) -> GroundOutcome | None:
    return withdraw_site(desk, plot.id)


_SAVERS: Mapping[str, Callable[[Desk, Form, PlotRow], GroundOutcome | None]] = {
    "area": _area,
    "soil": _soil,
    "ground": _ground,
    "decision": _decision,
    "withdrawal": _withdrawal,
}
_FIELDS = {
    "area": "area_m2",
    "soil": "soil",
    "ground": NO_RISK,
    "decision": WHY,
    "withdrawal": NO_RISK,
}
