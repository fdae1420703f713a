"""Enrolment: a whole household in one sitting, or one more part of it later."""

from collections.abc import Mapping

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from service.agronomy.crops import crops
from service.enrolment.enrol import enrol
from service.enrolment.faults import Faults
from service.messages.phone import masked_number
from service.records.engine import Session
from service.records.enrolment import areas, free_plots
from service.records.fields import Source
from service.records.household_page import household_by_id
from service.records.people import HouseholdRow
from service.records.requests import close_request, request_number
from service.web.enrol_add import PARTS, AddedTo, add_part, enrolment_rules
from service.web.enrol_form import day_typed, enrolment_of, note_faults, ticked
from service.web.enrol_said import enrolled_words
from service.web.enrol_words import (
    CANS,
    EATERS,
    LABELS,
    READ_OUT,
    SAID,
    SEASONS,
    SOILS,
    TEXTURES,
    WATERS,
    WEEKDAYS,
)
from service.web.form import Form
from service.web.here import here, office, tongue
from service.web.household_view import phones_of
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import sentence
from service.web.sign_in import language_names

page = Blueprint("enrol", __name__)

NEXT = "next"
HALF_HOURS = tuple(range(17 * 60, 20 * 60, 30))
Answer = Response | tuple[str, int] | str


@page.get("/enrol")
def ask() -> str:
    """Show the form; it may begin with a number that asked to join, or with an area kept."""
    asked = here()
    typed = {
        "area_id": request.args.get("area", ""),
        "language": request.args.get("language", asked.association.language),
        "asked_on": day_typed(asked.today),
        "asked_by": asked.visit.shown,
        "request": request.args.get("request", ""),
    }
    if typed["request"]:
        with asked.reading() as session:
            typed["number"] = request_number(session, asked.association_id, _id(typed["request"]))
    return _ask(Form(locale=asked.tongue.locale, typed=typed))


@page.post("/enrol")
def save() -> Answer:
    """Save all that was told."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _ask(form)
    return save_once(form, lambda session: _save(session, form)) or (_ask(form), 422)


@page.get("/households/<id:household_id>/add/<section>")
def ask_part(household_id: int, section: str) -> str:
    """Show the form for one part of a household."""
    asked = here()
    if section not in PARTS:
        abort(404)
    with asked.reading() as session:
        household = household_by_id(session, asked.association_id, household_id).household
    return _ask_part(
        household_id, section, Form(locale=asked.tongue.locale, typed=_known(household))
    )


@page.post("/households/<id:household_id>/add/<section>")
def save_part(household_id: int, section: str) -> Answer:
    """Save one section of a household."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if section not in PARTS:
        abort(404)
    if form.resumed:
        return _ask_part(household_id, section, form)
    answer = save_once(form, lambda session: _save_part(session, form, household_id, section))
    return answer or (_ask_part(household_id, section, form), 422)


def read_out(language: str) -> str:
    """Return the words to read out before anybody says yes, in a household's language."""
    tongues = office().tongues
    return tongues.get(language, tongues["en"]).say(READ_OUT)


def _save(session: Session, form: Form) -> Done | None:
    asked = here()
    language = form.value("language") or asked.association.language
    entry = enrolment_of(form, wording=read_out(language))
    if entry is None:
        return None
    desk = staff_desk(session, Source.FORM)
    enrolled = enrol(desk, entry, enrolment_rules())
    if isinstance(enrolled, Faults):
        note_faults(form, enrolled)
        return None
    if form.value("request"):
        close_request(
            session,
            asked.association_id,
            _id(form.value("request")),
            who=asked.visit.shown,
            now=asked.now,
        )
    said, notes = enrolled_words(enrolled, entry)
    location = url_for("households.show", household_id=enrolled.household_id)
    if form.value("after") == NEXT:
        location = url_for("enrol.ask", area=entry.household.area_id, language=language)
    return Done(location=location, said=said[0], also=said[1:], notes=notes)


def _save_part(session: Session, form: Form, household_id: int, part: str) -> Done | None:
    household = household_by_id(session, here().association_id, household_id).household
    added = add_part(
        staff_desk(session, Source.FORM),
        form,
        AddedTo(household_id=household_id, wording=read_out(household.language)),
        part,
    )
    if added is None:
        return None
    location = url_for("households.show", household_id=household_id)
    if added.planting_id is not None:
        location = url_for("plantings.show", planting_id=added.planting_id)
    return Done(location=location, said=added.said, notes=added.notes)


def _ask(form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        rows = areas(session, asked.association_id)
    return render_template(
        "enrol/form.html", form=form, areas=[(str(row.id), row.name) for row in rows], **_choices()
    )


def _ask_part(household_id: int, part: str, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        line = household_by_id(session, asked.association_id, household_id)
        phones = phones_of(session, asked.association_id, household_id)
        plots = free_plots(session, asked.association_id, household_id)
        rows = areas(session, asked.association_id)
    return render_template(
        "enrol/part.html",
        form=form,
        part=part,
        title=PARTS[part],
        home=line.household,
        phones=[(str(item.phone.id), masked_number(item.phone.number)) for item in phones],
        plots=[(str(plot.id), plot.letter or plot.code) for plot in plots],
        areas=[(str(row.id), row.name) for row in rows],
        **_choices(),
    )


def _known(household: HouseholdRow) -> dict[str, str]:
    asked = here()
    unsaid = household.adults + household.children == 0
    return {
        "alias": household.alias,
        "area_id": str(household.area_id),
        "language": household.language,
        "adults": "" if unsaid else str(household.adults),
        "children": "" if unsaid else str(household.children),
        "eats": household.regime.value,
        "word": household.word or "",
        "discreet": ticked(household.discreet),
        "remind_minute": str(household.remind_minute),
        "needs_call": ticked(household.needs_call),
        "avoid_weekday": _typed(household.avoid_weekday),
        "collected_share": _percent(household.collected_share),
        "bottle_ml": _typed(household.bottle_ml),
        "label": household.label,
        "asked_on": day_typed(asked.today),
        "asked_by": asked.visit.shown,
    }


def _typed(number: int | None) -> str:
    return "" if number is None else str(number)


def _percent(share: float) -> str:
    return "" if share == 1 else f"{share * 100:.12g}"


def _choices() -> Mapping[str, object]:
    say = tongue().say
    named = {
        "eaters": EATERS,
        "said": SAID,
        "soils": SOILS,
        "textures": TEXTURES,
        "waters": WATERS,
        "seasons": SEASONS,
        "weekdays": tuple(WEEKDAYS.items()),
    }
    return {
        "labels": LABELS,
        "words": {
            name: [(value, say(text)) for value, text in rows] for name, rows in named.items()
        },
        "crops": list(crops()),  # also those that take none: choosing one says why
        "cans": [(size, say(sentence("%(n)s L", n=float(size)))) for size in CANS],
        "languages": _text_languages(),
        "half_hours": [(str(at), f"{at // 60}:{at % 60:02d}") for at in HALF_HOURS],
        "read_out": [(code, name, read_out(code)) for code, name in language_names()],
    }


def _text_languages() -> list[tuple[str, str]]:
    return [
        (code, (found.locale.display_name or code).split(" (")[0].capitalize())
        for code, found in here().services.catalogue.languages.items()
    ]


def _id(typed: str) -> int:
    if not (typed.isascii() and typed.isdigit() and len(typed) < 19):  # noqa: PLR2004 -- as ids in addresses
        abort(404)
    return int(typed)
