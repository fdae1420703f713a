"""Days without doses in an area or in all: entered, looked at with what they moved, withdrawn."""

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from service.enrolment.localities import add_hold, withdraw_hold
from service.enrolment.locality_entries import HoldAdded
from service.records.engine import Session
from service.records.fields import Source
from service.records.locality_book import locality_book
from service.records.locality_lists import area_hold_by_id
from service.web.form import Form
from service.web.here import here
from service.web.localities import Forms, area_of, blank_form, done_with, index_page, taken
from service.web.locality_forms import HOLD_FIELDS, hold_of, note_faults
from service.web.locality_view import hold_lines, moved_lines, moves_of_hold, noted_words
from service.web.locality_words import overlap_words, replanned_words
from service.web.paging import SIZE, asked_page, pages_of
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import sentence

page = Blueprint("area_holds", __name__)

Answer = Response | tuple[str, int] | str


@page.post("/areas")
def save_for_all() -> Answer:
    """Enter days without doses in all areas."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return index_page(form)
    return save_once(form, lambda session: _hold(session, form, None)) or (index_page(form), 422)


@page.post("/areas/<id:area_id>/hold")
def save(area_id: int) -> Answer:
    """Enter days without doses in one area."""
    form = Form.of(request.form, locale=here().tongue.locale)
    return taken(form, area_id, Forms(hold=form), _hold)


@page.get("/areas/holds/<id:hold_id>")
def show(hold_id: int) -> str:
    """Show one hold, and which doses it moved."""
    return _show(hold_id)


@page.post("/areas/holds/<id:hold_id>/withdraw")
def withdraw(hold_id: int) -> Answer:
    """Let a hold no longer stand."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _show(hold_id)
    return save_once(form, lambda session: _withdraw_hold(session, hold_id)) or abort(404)


def _hold(session: Session, form: Form, area_id: int | None) -> Done | None:
    entry = hold_of(form, area_id)
    if entry is None:
        return None
    outcome = add_hold(staff_desk(session, Source.FORM), entry)
    if not isinstance(outcome, HoldAdded):
        note_faults(form, outcome, HOLD_FIELDS)
        return None
    said = sentence(
        "No doses from %(first)s to %(last)s.", first=entry.first_on, last=entry.last_on
    )
    return Done(
        location=url_for("area_holds.show", hold_id=outcome.hold_id),
        said=said,
        also=replanned_words(outcome.replanned),
        notes=tuple(overlap_words(hold) for hold in outcome.overlaps[:3]),
    )


def _withdraw_hold(session: Session, hold_id: int) -> Done:
    row = area_hold_by_id(session, here().association_id, hold_id)
    said = sentence(
        "Withdrawn: no doses from %(first)s to %(last)s.", first=row.first_on, last=row.last_on
    )
    outcome = withdraw_hold(staff_desk(session, Source.FORM), hold_id)
    return done_with(url_for("area_holds.show", hold_id=hold_id), said, outcome)


def _show(hold_id: int) -> str:
    asked = here()
    with asked.reading() as session:
        row = area_hold_by_id(session, asked.association_id, hold_id)
        area = None if row.area_id is None else area_of(session, row.area_id)
        moved = moves_of_hold(session, asked, hold_id)
        pages = pages_of(len(moved), asked_page())
        first = (pages.number - 1) * SIZE
        lines = moved_lines(session, asked, moved[first : first + SIZE])
        holds = locality_book(session, asked.association_id).holds
    return render_template(
        "localities/hold.html",
        hold=row,
        area=area,
        noted=noted_words(row, asked),
        overlap=any(line.overlaps for line in hold_lines([row], asked, among=holds)),
        pages=pages,
        lines=lines,
        form=blank_form(),
    )
