"""Local figures: what stands here in the place of the tables', each with its written source."""

from collections.abc import Mapping
from dataclasses import dataclass

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from service.agronomy.crops import crops
from service.agronomy.local import LocalKey
from service.agronomy.season import Soil
from service.enrolment.faults import Faults
from service.enrolment.local_acts import add_figure, withdraw_figure
from service.enrolment.local_defaults import TableFigure, table_figure
from service.enrolment.locality_entries import FigureEntry
from service.records.engine import Session
from service.records.enrolment import areas
from service.records.fields import Source
from service.records.localities import LocalValueRow
from service.records.locality_lists import local_value_by_id, local_values
from service.web.fault_words import fault_words
from service.web.form import Form
from service.web.here import Here, here
from service.web.local_value_words import KEYS, LABELS, SOILS, value_words
from service.web.locality_forms import note_faults
from service.web.locality_words import WITHDRAWN_BEFORE, replanned_words
from service.web.paging import asked_page, pages_of
from service.web.planting_words import how_had
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import Sentence, sentence

page = Blueprint("local_values", __name__)

SHOWN = 6  # on one page: each has a button, and the page must stay light
Answer = Response | tuple[str, int] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureLine:
    """A local figure beside the table's; `area` is None where it holds for all."""

    row: LocalValueRow
    name: Sentence
    value: Sentence
    noted: Sentence
    soil: Sentence | None
    area: str | None
    table: TableFigure | None
    table_value: Sentence | None


@page.get("/local-values")
def index() -> str:
    """List the local figures beside the tables'."""
    return _index(Form(locale=here().tongue.locale))


@page.post("/local-values")
def save() -> Answer:
    """Put a local figure in the place of the table's."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _index(form)
    return save_once(form, lambda session: _save(session, form)) or (_index(form), 422)


@page.post("/local-values/<id:value_id>/withdraw")
def withdraw(value_id: int) -> Answer:
    """Let the table's figure hold again, or the local one entered before."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _index(form)
    answer = save_once(form, lambda session: _withdraw(session, form, value_id))
    return answer or (_index(form), 422)


def _save(session: Session, form: Form) -> Done | None:
    area = form.value("area_id")
    if area and not (area.isascii() and area.isdigit() and len(area) < 10):  # noqa: PLR2004 -- an id
        form.refuse("area_id", sentence("Choose one of this list."))
    soil = form.choice_or_blank("soil", Soil)
    if not form.sound:
        return None
    entry = FigureEntry(
        key=form.value("key"),
        value=form.value("value"),
        source=form.value("source"),
        area_id=int(area) if area else None,
        crop=form.value("crop") or None,
        soil=soil,
    )
    outcome = add_figure(staff_desk(session, Source.FORM), entry)
    if isinstance(outcome, Faults):
        note_faults(form, outcome, {})
        return None
    said = sentence("Saved: %(figure)s.", figure=KEYS[LocalKey(entry.key)])
    return Done(location=url_for("local_values.index"), said=said, also=replanned_words(outcome))


def _withdraw(session: Session, form: Form, value_id: int) -> Done | None:
    row = local_value_by_id(session, here().association_id, value_id)
    outcome = withdraw_figure(staff_desk(session, Source.FORM), value_id)
    place = url_for("local_values.index")
    if outcome is None:
        return Done(location=place, said=WITHDRAWN_BEFORE)
    if isinstance(outcome, Faults):
        for fault in outcome.faults:
            form.refuse(fault.field, fault_words(fault))
        return None
    said = sentence("Withdrawn: %(figure)s.", figure=KEYS[LocalKey(row.key)])
    return Done(location=place, said=said, also=replanned_words(outcome))


def _index(form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        rows = local_values(session, asked.association_id)
        named = {row.id: row.name for row in areas(session, asked.association_id)}
    pages = pages_of(len(rows), asked_page(), size=SHOWN)
    first = (pages.number - 1) * SHOWN
    say = asked.tongue.say
    return render_template(
        "local_values/index.html",
        pages=pages,
        lines=[_line(row, named, asked) for row in rows[first : first + SHOWN]],
        form=form,
        labels=LABELS,
        keys=[(key.value, say(words)) for key, words in KEYS.items()],
        crops=[row.id for row in crops().values() if not (row.legume or row.perennial)],
        areas=[(str(area_id), name) for area_id, name in named.items()],
        soils=[(soil.value, say(words)) for soil, words in SOILS.items()],
        how_had=how_had,
    )


def _line(row: LocalValueRow, named: Mapping[int, str], asked: Here) -> FigureLine:
    key = LocalKey(row.key)
    table = table_figure(key, row.crop)
    return FigureLine(
        row=row,
        name=KEYS[key],
        value=value_words(key, row.value, asked.tongue),
        noted=sentence(
            "local value, by %(who)s, %(at)s",
            who=row.noted_by,
            at=asked.tongue.moment(row.recorded_at, asked.zone),
        ),
        soil=None if row.soil is None else SOILS[Soil(row.soil)],
        area=None if row.area_id is None else named.get(row.area_id, ""),
        table=table,
        table_value=None if table is None else value_words(key, table.value, asked.tongue),
    )
