"""Areas: how warm their stores are, rains or dry season, and days without doses."""

from collections.abc import Callable
from dataclasses import dataclass, field

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from service.enrolment.faults import Faults
from service.enrolment.localities import (
    add_season,
    set_store,
    withdraw_season,
)
from service.enrolment.locality_entries import Replanned
from service.records.engine import Session
from service.records.enrolment import areas, find_area
from service.records.fields import Source
from service.records.locality_book import locality_book
from service.records.locality_lists import season_span_by_id
from service.records.people import AreaRow
from service.web.form import Form
from service.web.here import here
from service.web.locality_forms import (
    BY_HAND,
    SEASON_FIELDS,
    celsius_of,
    note_faults,
    span_of,
)
from service.web.locality_view import (
    area_line,
    hold_lines,
    span_lines,
)
from service.web.locality_words import (
    IN_SHORT,
    LABELS,
    SEASONS,
    WITHDRAWN_BEFORE,
    replanned_words,
)
from service.web.paging import SIZE, asked_page, pages_of
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import Sentence, sentence

page = Blueprint("localities", __name__)

Answer = Response | tuple[str, int] | str


def blank_form() -> Form:
    """Return a form in which nothing was typed yet."""
    return Form(locale=here().tongue.locale)


@dataclass(frozen=True, slots=True, kw_only=True)
class Forms:
    """The forms of an area's page; the one that was sent holds what was typed."""

    store: Form = field(default_factory=blank_form)
    season: Form = field(default_factory=blank_form)
    hold: Form = field(default_factory=blank_form)

    @property
    def sent(self) -> Form:
        """The form that has something to mend, or any."""
        forms = (self.store, self.season, self.hold)
        return next((form for form in forms if not form.sound or form.resumed), self.hold)


@page.get("/areas")
def index() -> str:
    """List the areas as they stand today."""
    return index_page(blank_form())


@page.get("/areas/<id:area_id>")
def show(area_id: int) -> str:
    """Show what holds for one area."""
    return area_page(area_id, Forms())


@page.post("/areas/<id:area_id>/store")
def save_store(area_id: int) -> Answer:
    """Note how warm the area's stores are."""
    form = Form.of(request.form, locale=here().tongue.locale)
    return taken(form, area_id, Forms(store=form), _store)


@page.post("/areas/<id:area_id>/season")
def save_season(area_id: int) -> Answer:
    """Note rains or dry season, by days or by hand from today."""
    form = Form.of(request.form, locale=here().tongue.locale)
    return taken(form, area_id, Forms(season=form), _season)


@page.post("/areas/seasons/<id:span_id>/withdraw")
def withdraw_the_season(span_id: int) -> Answer:
    """Let a season no longer stand."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return index_page(blank_form())
    return save_once(form, lambda session: _withdraw_season(session, span_id)) or abort(404)


def taken(
    form: Form, area_id: int, forms: Forms, act: Callable[[Session, Form, int], Done | None]
) -> Answer:
    """Save one of the forms of an area's page, or show the page with what is to be mended."""
    if form.resumed:
        return area_page(area_id, forms)
    answer = save_once(form, lambda session: act(session, form, area_of(session, area_id).id))
    return answer or (area_page(area_id, forms), 422)


def area_of(session: Session, area_id: int) -> AreaRow:
    """Return an area of the association; the page is missing where it has none such."""
    return find_area(session, here().association_id, area_id) or abort(404)


def _store(session: Session, form: Form, area_id: int) -> Done | None:
    celsius = celsius_of(form)
    if not form.sound:
        return None
    outcome = set_store(staff_desk(session, Source.FORM), area_id, celsius)
    if isinstance(outcome, Faults):
        note_faults(form, outcome, {})
        return None
    said = sentence("The area's own temperature was taken out.")
    if celsius is not None:
        said = sentence("The stores of this area have %(celsius)s °C.", celsius=celsius)
    return done_with(url_for("localities.show", area_id=area_id), said, outcome)


def _season(session: Session, form: Form, area_id: int) -> Done | None:
    entry = span_of(form, area_id)
    if entry is None:
        return None
    outcome = add_season(staff_desk(session, Source.FORM), entry)
    if isinstance(outcome, Faults):
        note_faults(form, outcome, SEASON_FIELDS)
        return None
    said = sentence(
        "%(season)s from %(first)s to %(last)s.",
        season=SEASONS[entry.season],
        first=entry.first_on,
        last=entry.last_on,
    )
    return done_with(url_for("localities.show", area_id=area_id), said, outcome)


def _withdraw_season(session: Session, span_id: int) -> Done:
    row = season_span_by_id(session, here().association_id, span_id)
    said = sentence(
        "Withdrawn: %(season)s from %(first)s to %(last)s.",
        season=IN_SHORT[row.season],
        first=row.first_on,
        last=row.last_on,
    )
    place = url_for("localities.index")
    if row.area_id is not None:
        place = url_for("localities.show", area_id=row.area_id)
    return done_with(place, said, withdraw_season(staff_desk(session, Source.FORM), span_id))


def done_with(location: str, said: Sentence, replanned: Replanned | None) -> Done:
    """Return what is said after an act that planned anew; None is an act that came too late."""
    if replanned is None:
        return Done(location=location, said=WITHDRAWN_BEFORE)
    return Done(location=location, said=said, also=replanned_words(replanned))


def index_page(form: Form) -> str:
    """Return the list of areas; the form is that of a hold for all."""
    asked = here()
    with asked.reading() as session:
        rows = areas(session, asked.association_id)
        book = locality_book(session, asked.association_id)
    pages = pages_of(len(rows), asked_page())
    first = (pages.number - 1) * SIZE
    return render_template(
        "localities/index.html",
        pages=pages,
        lines=[area_line(row, book, asked) for row in rows[first : first + SIZE]],
        holds=hold_lines(
            [hold for hold in book.holds if hold.area_id is None], asked, among=book.holds
        ),
        form=form,
        labels=LABELS,
        in_short=IN_SHORT,
    )


def area_page(area_id: int, forms: Forms) -> str:
    """Return the page of one area."""
    asked = here()
    with asked.reading() as session:
        area = area_of(session, area_id)
        book = locality_book(session, asked.association_id)
    return render_template(
        "localities/show.html",
        line=area_line(area, book, asked),
        common_c=asked.association.store_c,
        holds=hold_lines(book.holds_in(area_id), asked, among=book.holds_in(area_id)),
        spans=span_lines([span for span in book.spans if span.area_id in (None, area_id)], asked),
        forms=forms,
        labels=LABELS,
        seasons=[(season.value, asked.tongue.say(words)) for season, words in SEASONS.items()],
        in_short=IN_SHORT,
        by_hand=BY_HAND,
    )
