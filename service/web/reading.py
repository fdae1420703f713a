"""Texts that a person must read: what each may mean, one press a reading."""

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from service.confirmations.outcomes import NeedsReading
from service.inbound.choices import reading_of
from service.inbound.reading_acts import Taken, take_reading
from service.inbound.settling import (
    Reader,
    Settling,
    ask_for_call,
    ask_to_enrol,
    pauses,
    settle,
    stop_texts,
)
from service.inbound.waiting_texts import WaitingText, waiting_texts
from service.planning.send_window import local_day
from service.records.engine import Session
from service.records.inbox import reading_list, text_for_reading
from service.records.plantings import association
from service.records.traffic import InboundRow
from service.web.form import Form
from service.web.here import here
from service.web.hints import hint_words
from service.web.outcome_words import outcome_words
from service.web.paging import asked_page, pages_of
from service.web.reading_cards import cards_of, choices_of, in_order
from service.web.reading_words import Days, decided_words
from service.web.saving import Done, save_once
from service.web.sentence import Sentence, sentence

page = Blueprint("reading", __name__)

SIZE = 4  # texts a page: long ones with all their buttons stay light on a slow line
CHOICE = "choice"

SAID: dict[Settling, Sentence] = {
    Settling.CALL: sentence("Read. A call is on the list."),
    Settling.NOTHING: sentence("Read. Nothing was recorded."),
    Settling.GO_ON: sentence("Read. Texts to this phone go on."),
    Settling.STOP: sentence(
        "All texts to this phone have stopped. Only the phone itself can start them again."
    ),
    Settling.ENROL: sentence("Read. The number waits to be enrolled."),
    Settling.NOT_FOR_US: sentence("Read. Nothing was recorded."),
}
STILL_PAUSED = sentence(
    "A call is on the list. Texts to this phone stay paused until you choose whether they go on."
)


@page.get("/reading")
def index() -> str:
    """Show the texts that wait, those that pause a phone first."""
    return _show(asked_page())


@page.post("/reading/<id:text_id>")
def save(text_id: int) -> Response | tuple[str, int] | str:
    """Take what a person chose for a text."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _show_text(text_id, form)
    answer = save_once(form, lambda session: _save(session, form, text_id))
    return answer or (_show_text(text_id, form), 422)


def _show_text(text_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        order = in_order(reading_list(session, asked.association_id))
    place = next((at for at, row in enumerate(order) if row.id == text_id), 0)
    return _show(place // SIZE + 1, forms={text_id: form})


def _show(number: int, *, forms: dict[int, Form] | None = None) -> str:
    asked = here()
    with asked.reading() as session:
        order = in_order(reading_list(session, asked.association_id))
        last = pages_of(len(order), number, size=SIZE).last
        pages = pages_of(len(order), min(number, last), size=SIZE)
        shown = order[(pages.number - 1) * SIZE :][:SIZE]
        texts = waiting_texts(session, association(session, asked.association_id), shown)
    made = {text.row.id: Form(locale=asked.tongue.locale) for text in texts} | (forms or {})
    return render_template(
        "reading/index.html",
        cards=cards_of(texts, today=asked.today, forms=made),
        pages=pages,
        refused=any(not form.sound for form in made.values()),
        resumed=any(form.resumed for form in made.values()),
    )


def _save(session: Session, form: Form, text_id: int) -> Done | None:
    asked = here()
    row = text_for_reading(session, asked.association_id, text_id)
    if row.read_at is not None:
        return _already_read(row)
    reader = Reader(
        session=session,
        association=association(session, asked.association_id),
        who=asked.visit.shown,
        today=asked.today,
        now=asked.now,
    )
    (text,) = waiting_texts(session, reader.association, [row])
    chosen = form.value(CHOICE)
    if chosen not in choices_of(text):
        form.refuse(CHOICE, sentence("That does not fit any more. Look again, then choose."))
        return None
    if chosen in set(Settling):
        return _settled(reader, text, Settling(chosen))
    return _read(reader, text, chosen, form)


def _already_read(row: InboundRow) -> Done:
    asked = here()
    days = Days(came_on=local_day(row.received_at, asked.zone), today=asked.today)
    return Done(
        location=url_for("reading.index"),
        said=sentence(
            "Already read by %(who)s at %(at)s: %(what)s.",
            who=row.read_by or "",
            at="" if row.read_at is None else asked.tongue.moment(row.read_at, asked.zone),
            what=decided_words(row.read_as, days),
        ),
    )


def _settled(reader: Reader, text: WaitingText, chosen: Settling) -> Done:
    location, said = url_for("reading.index"), SAID[chosen]
    match chosen:
        case Settling.CALL:
            if pauses(text):
                said = STILL_PAUSED
            ask_for_call(reader, text)
        case Settling.STOP:
            stop_texts(reader, text)
        case Settling.ENROL:
            task_id = ask_to_enrol(reader, text)
            location = "/enrol" if task_id is None else f"/enrol?request={task_id}"
        case Settling.NOTHING | Settling.GO_ON | Settling.NOT_FOR_US:
            settle(reader, text, chosen)
    return Done(location=location, said=said)


def _read(reader: Reader, text: WaitingText, chosen: str, form: Form) -> Done | None:
    reading = reading_of(chosen)
    if reading is None:
        raise ValueError("a reading that was offered can be read back")
    taken = take_reading(reader, text, reading)
    if isinstance(taken, NeedsReading):
        form.refuse(CHOICE, hint_words(taken.hint))
        return None
    return Done(location=url_for("reading.index"), said=_said(taken, text))


def _said(taken: Taken, text: WaitingText) -> Sentence:
    parts: list[Sentence] = [outcome_words(outcome) for outcome in taken.outcomes]
    if not parts:
        parts = [sentence("Noted: yes to getting texts.")]
    if taken.answered:
        parts.append(sentence("The grower gets an answer."))
    if pauses(text):
        parts.append(sentence("Now choose whether texts go on."))
    said = parts[0]
    for part in parts[1:]:
        said = sentence("%(first)s %(then)s", first=said, then=part)
    return said
