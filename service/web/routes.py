"""Routes: by which gateways texts leave, what they cost, and the switch and the month's ceiling.

All of the staff may look, since Today warns of a route that does not send; only an administrator
changes anything (the roles of the service: routes and ceilings are the administrator's).
"""

from dataclasses import replace

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from service.enrolment.book import write_change
from service.outbox.routing import choose_route
from service.outbox.ways import ways
from service.records.engine import Session
from service.records.fields import Source
from service.records.route_list import route_by_id, set_ceiling, waiting_numbers
from service.records.routes import switch_route
from service.records.staff import Role
from service.records.traffic import RouteRow
from service.web.form import Form
from service.web.here import Here, here
from service.web.paging import asked_page, pages_of
from service.web.route_view import month_of, month_warning, route_lines
from service.web.route_words import HEALTH, LABELS, NO_GATEWAY
from service.web.saving import Done, save_once, staff_desk
from service.web.sentence import Sentence, sentence

page = Blueprint("routes", __name__)

SHOWN = 6  # on one page: the page must stay light
MOST = 9_999_999  # segments a month; what the field takes
STOP, GO_ON = "stop", "go-on"
Answer = Response | tuple[str, int] | str


@page.get("/routes")
def index() -> str:
    """List the routes, the month, and what the coming evenings may take."""
    return _index(_blank())


@page.post("/routes/ceiling")
def save_ceiling() -> Answer:
    """Set the month's ceiling."""
    _only_administrators()
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _index(form)
    return save_once(form, lambda session: _set(session, form)) or (_index(form), 422)


@page.post("/routes/ceiling/lift")
def lift_ceiling() -> Answer:
    """Let the month have no ceiling."""
    _only_administrators()
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _index(form)
    return save_once(form, _lift) or (_index(form), 422)


@page.get("/routes/<id:route_id>/switch")
def check(route_id: int) -> str:
    """Show what a route's stop, or its going on, will mean for the texts that wait."""
    return _check(route_id, _blank())


@page.post("/routes/<id:route_id>/switch")
def switch(route_id: int) -> Answer:
    """Stop a route, or let it go on."""
    asked = here()
    with asked.reading() as session:
        route_by_id(session, asked.association_id, route_id)  # the others' is missing, not barred
    _only_administrators()
    form = Form.of(request.form, locale=asked.tongue.locale)
    if form.resumed:
        return _check(route_id, form)
    answer = save_once(form, lambda session: _switch(session, form, route_id))
    return answer or (_check(route_id, form), 422)


def _blank() -> Form:
    return Form(locale=here().tongue.locale)


def _may_change() -> bool:
    return here().visit.role is Role.ADMIN


def _only_administrators() -> None:
    if not _may_change():
        abort(403)


def _set(session: Session, form: Form) -> Done | None:
    segments = form.whole_or_blank("segments", least=1, most=MOST)
    if segments is None:
        form.refuse(
            "segments",
            sentence("Write a whole number from %(least)s to %(most)s.", least=1, most=MOST),
        )
        return None
    return _changed(session, segments)


def _lift(session: Session) -> Done:
    return _changed(session, None)


def _changed(session: Session, segments: int | None) -> Done:
    asked = here()
    before = set_ceiling(session, asked.association_id, segments)
    if before != segments:
        write_change(
            staff_desk(session, Source.FORM),
            "ceiling lifted" if segments is None else "ceiling set",
            "association",
            asked.association_id,
            before={"monthly_segments": before},
            after={"monthly_segments": segments},
        )
    said = sentence("The month has no ceiling.")
    if segments is not None:
        said = sentence("The month's ceiling is %(segments)s segments.", segments=segments)
    was = () if before in (None, segments) else (sentence("Before: %(before)s.", before=before),)
    return Done(location=url_for("routes.index"), said=said, also=was)


def _switch(session: Session, form: Form, route_id: int) -> Done | None:
    asked = here()
    turn = form.one_of("turn", (STOP, GO_ON))
    if turn is None:
        return None
    stop = turn == STOP
    row = route_by_id(session, asked.association_id, route_id)
    waiting = waiting_numbers(session, asked.association_id, route_id, now=asked.now)
    changed = switch_route(
        session, asked.association_id, route_id, stop=stop, who=asked.visit.shown, now=asked.now
    )
    if changed:
        write_change(
            staff_desk(session, Source.FORM),
            "stopped" if stop else "let go on",
            "route",
            route_id,
            before={"stopped": not stop},
            after={"stopped": stop},
            more={"waiting": len(waiting)},
        )
    return Done(location=url_for("routes.index"), said=_switched(row, stop=stop, changed=changed))


def _switched(row: RouteRow, *, stop: bool, changed: bool) -> Sentence:
    if stop and changed:
        return sentence("Route %(name)s is stopped.", name=row.name)
    if stop:
        return sentence("Route %(name)s was stopped before.", name=row.name)
    if changed:
        return sentence("Route %(name)s goes on.", name=row.name)
    return sentence("Route %(name)s was not stopped.", name=row.name)


def _index(form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        lines = route_lines(session, asked)
        month = month_of(session, asked)
    pages = pages_of(len(lines), asked_page(), size=SHOWN)
    first = (pages.number - 1) * SHOWN
    return render_template(
        "routes/index.html",
        form=form,
        labels=LABELS,
        pages=pages,
        lines=lines[first : first + SHOWN],
        health=HEALTH,
        no_gateway=NO_GATEWAY,
        month=month,
        warning=month_warning(month.spent, month.ceiling),
        may_change=_may_change(),
    )


def _check(route_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        row = route_by_id(session, asked.association_id, route_id)
        numbers = waiting_numbers(session, asked.association_id, route_id, now=asked.now)
        staying = _staying(session, asked, route_id, numbers)
    return render_template(
        "routes/switch.html",
        form=form,
        row=row,
        waiting=len(numbers),
        staying=staying,
        turn=STOP if row.stopped_at is None else GO_ON,
        may_change=_may_change(),
    )


def _staying(session: Session, asked: Here, route_id: int, numbers: list[str]) -> int:
    """Return how many of a route's texts would wait for it, were it stopped."""
    known = [
        replace(way, is_open=way.is_open and way.route_id != route_id)
        for way in ways(session, asked.association_id, now=asked.now)
    ]
    open_ids = {way.route_id for way in known if way.is_open}
    if not open_ids:
        return len(numbers)
    return sum(choose_route(number, known) not in open_ids for number in numbers)
