"""Pretend phones: what each grower sees, and an answer as a grower would type it.

They are there only while the fake gateway is; the demo's time moves from evening to evening.
"""

from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, abort, render_template, request, url_for
from werkzeug.wrappers import Response

from gateway_adapters.events import Inbound
from service.config import Profile
from service.errors import RefusedError
from service.planning.send_window import evening_stops
from service.records.engine import Session
from service.records.phones import phone_by_number
from service.records.pretend import move_pretend_clock
from service.records.pretend_phones import (
    LISTED,
    count_phones,
    pretend_phone,
    pretend_phones,
    said_by_strangers,
)
from service.web.form import Form
from service.web.here import Here, here
from service.web.paging import asked_page, pages_of
from service.web.saving import Done, save_once
from service.web.sentence import sentence

page = Blueprint("phones", __name__)

TEXT_MOST = 480
SHOWN = 20  # texts on a phone
LABELS = {
    "text": sentence("Text to send"),
    "number": sentence("Number of a phone that nobody has enrolled"),
}
Answer = Response | tuple[str, int] | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One text on a phone; `own` is what its grower sent."""

    at: datetime
    text: str
    own: bool


@page.before_request
def only_while_pretending() -> None:
    """Hide these pages where texts reach real phones."""
    if not here().services.pretends:
        abort(404)


@page.get("/phones")
def index() -> str:
    """Show every phone with its last text."""
    return _index(Form(locale=here().tongue.locale))


@page.post("/phones")
def text_from_stranger() -> Answer:
    """Send a text from a number that nobody has enrolled."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _index(form)
    answer = save_once(form, lambda session: _from_stranger(session, form))
    if answer is None:
        return _index(form), 422
    here().services.step()
    return answer


@page.get("/phones/<id:phone_id>")
def show(phone_id: int) -> str:
    """Show one phone: its texts and answers, as the grower sees them."""
    return _show(phone_id, Form(locale=here().tongue.locale))


@page.post("/phones/<id:phone_id>")
def text_from_phone(phone_id: int) -> Answer:
    """Send a text from a phone."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _show(phone_id, form)
    answer = save_once(form, lambda session: _from_phone(session, form, phone_id))
    if answer is None:
        return _show(phone_id, form), 422
    here().services.step()
    return answer


@page.post("/phones/evening")
def next_evening() -> Answer:
    """Move the demo's time to the end of the next evening, doing what falls due on the way."""
    if not _time_moves(here()):
        abort(404)
    form = Form.of(request.form, locale=here().tongue.locale)
    stops: list[datetime] = []  # filled by the first press only
    answer = save_once(form, lambda session: _to_evening(session, form, stops))
    for stop in stops:
        _move(here(), stop)
    return answer or _index(form)


def _index(form: Form) -> str:
    asked = here()
    texts = asked.services.pretend_phones().texts()
    last = {text.to: text for text in texts}
    number = asked_page()
    with asked.reading() as session:
        phones = pretend_phones(session, asked.association_id, offset=(number - 1) * LISTED)
        strangers = said_by_strangers(session, asked.association_id)
        count = count_phones(session, asked.association_id)
    return render_template(
        "phones/index.html",
        form=form,
        labels=LABELS,
        phones=[(phone, last.get(phone.number)) for phone in phones],
        strangers=strangers,
        replies={row.sender: last.get(row.sender) for row in strangers},
        pages=pages_of(count, number, size=LISTED),
        time_moves=_time_moves(asked),
    )


def _show(phone_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        phone = pretend_phone(session, asked.association_id, phone_id)
    talk = [
        Line(at=part.received_at, text=part.text, own=True)
        if isinstance(part, Inbound)
        else Line(at=part.at, text=part.text, own=False)
        for part in asked.services.pretend_phones().talk(phone.number)
    ]
    return render_template(
        "phones/show.html",
        form=form,
        labels=LABELS,
        phone=phone,
        talk=talk[: -SHOWN - 1 : -1],  # newest first
        time_moves=_time_moves(asked),
    )


def _from_phone(session: Session, form: Form, phone_id: int) -> Done | None:
    phone = pretend_phone(session, here().association_id, phone_id)
    text = form.text("text", most=TEXT_MOST)
    if text is None:
        return None
    _say(phone.number, text)
    return Done(
        location=url_for("phones.show", phone_id=phone_id), said=sentence("The text was sent.")
    )


def _from_stranger(session: Session, form: Form) -> Done | None:
    asked = here()
    number, text = form.text("number", most=32), form.text("text", most=TEXT_MOST)
    if number is not None and number not in asked.services.settings.test_numbers:
        form.refuse(
            "number",
            sentence("Type a number of the demo, from +255100000000 to +255100000099."),
        )
    elif number is not None and phone_by_number(session, asked.association_id, number):
        form.refuse("number", sentence("That phone is enrolled: open it in the list and text."))
    if number is None or text is None or not form.sound:
        return None
    _say(number, text)
    return Done(location=url_for("phones.index"), said=sentence("The text was sent."))


def _say(number: str, text: str) -> None:
    services = here().services
    services.pretend_phones().answer(number, text, to=services.settings.route.sender)


def _time_moves(asked: Here) -> bool:
    return asked.services.settings.profile is Profile.DEMO


def _to_evening(session: Session, form: Form, stops: list[datetime]) -> Done:
    asked = here()
    stops += evening_stops(asked.now, asked.zone)
    until = asked.tongue.moment(stops[-1], asked.zone)
    location = url_for("phones.index")
    opened = form.value("phone")
    if opened.isascii() and opened.isdigit():
        phone = pretend_phone(session, asked.association_id, int(opened))
        location = url_for("phones.show", phone_id=phone.id)
    return Done(location=location, said=sentence("It is now %(until)s.", until=until))


def _move(asked: Here, stop: datetime) -> None:
    try:
        with asked.services.sessions.begin() as session:
            move_pretend_clock(session, stop)
    except RefusedError:
        return  # another browser has moved it further meanwhile
    asked.services.step()
