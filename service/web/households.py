"""Households: the list, one household with all its texts, its numbers, and the end of its texts."""

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.confirmations.stopping import stop_phone
from service.dispatch.rendering import renderer
from service.messages.phone import shown_number
from service.records.engine import Session
from service.records.fields import Source
from service.records.household_list import (
    HouseholdLine,
    count_households,
    household_lines,
)
from service.records.household_page import household_by_id
from service.records.household_talk import CameText, count_talk, notes_of_texts, talk_of_phones
from service.records.people import AuditRow
from service.records.tasks import audit
from service.sign_in.secrets import new_token
from service.web.collecting_sheet import next_can
from service.web.form import Form
from service.web.here import here
from service.web.household_standing import lacks_of, state_lines
from service.web.household_texts import Hours, TalkDay, talk_days
from service.web.household_view import household_view, phone_line, phones_of
from service.web.household_words import (
    eaters_words,
    language_words,
    minute_words,
    soil_words,
    task_words,
    texture_words,
    water_warnings,
    water_words,
)
from service.web.next_job import next_panel
from service.web.paging import SIZE, Pages, asked_page, pages_of
from service.web.saving import SEE_OTHER, Done, save_once, staff_desk
from service.web.sentence import sentence
from service.web.stock_sheet import balance_words

page = Blueprint("households", __name__)

TEXTS_A_PAGE = 7  # what to do next comes first, and the page stays light for a slow line
FULL_JOBS = 2  # plots told of in full, the others in a line; a page of their own has all
SEARCH_MOST = 60  # characters, as many as a name may have
LABELS = {
    "look_for": sentence("Name, code or area"),
    "phone": sentence("Phone"),
}


@page.get("/households")
def index() -> str:
    """List the households by area and code."""
    asked = here()
    with asked.reading() as session:
        pages = _pages(count_households(session, asked.association_id), size=SIZE)
        lines = household_lines(
            session, asked.association_id, first=(pages.number - 1) * SIZE, most=SIZE
        )
        rows = state_lines(session, asked.association, lines)
    form = Form(locale=asked.tongue.locale)
    return render_template(
        "households/index.html", pages=pages, rows=rows, form=form, labels=LABELS
    )


def _pages(count: int, *, size: int) -> Pages:
    last = pages_of(count, 1, size=size).last
    return pages_of(count, min(asked_page(), last), size=size)  # a list may have grown shorter


@page.post("/households/search")
def search() -> str | tuple[str, int]:
    """Show the households whose name, code or area holds what was typed; nothing is changed."""
    asked = here()
    form = Form.of(request.form, locale=asked.tongue.locale)
    typed = form.text("look_for", most=SEARCH_MOST)
    if typed is None:
        return _found(form, [], 0), 422
    with asked.reading() as session:
        count = count_households(session, asked.association_id, like=typed)
        lines = household_lines(session, asked.association_id, first=0, most=SIZE, like=typed)
        rows = state_lines(session, asked.association, lines)
    return _found(form, rows, count)


def _found(form: Form, rows: object, count: int) -> str:
    return render_template(
        "households/found.html", form=form, labels=LABELS, rows=rows, count=count
    )


@page.get("/households/<id:household_id>")
def show(household_id: int) -> str:
    """Show one household: all that is known of it on the first page, older texts on the next."""
    asked = here()
    with asked.reading() as session:
        if asked_page() > 1:
            return _older(session, household_by_id(session, asked.association_id, household_id))
        view = household_view(session, asked.association, household_id, today=asked.today)
        phones = [line.phone_id for line in view.phones]
        pages, talk = _talk(session, phones)
    home = view.line.household
    return render_template(
        "households/show.html",
        view=view,
        lacks=lacks_of(view, asked.association),
        panel=next_panel(view.store),
        full=FULL_JOBS,
        balance=balance_words(view.store),
        next_can=next_can(view.store),
        eaters=eaters_words(home),
        texts_in=language_words(home.language, asked.tongue.locale),
        remind_at=minute_words(home.remind_minute),
        soil_words=soil_words,
        texture_words=texture_words,
        water_words=water_words,
        water_warnings=water_warnings,
        task_words=task_words,
        shared=any(line.others for line in view.phones),
        pages=pages,
        talk=talk,
        form=Form(locale=asked.tongue.locale),
    )


def _older(session: Session, line: HouseholdLine) -> str:
    bundles = phones_of(session, here().association_id, line.household.id)
    pages, talk = _talk(session, [bundle.phone.id for bundle in bundles])
    return render_template(
        "households/older.html",
        line=line,
        shared=any(bundle.shared for bundle in bundles),
        pages=pages,
        talk=talk,
    )


def _talk(session: Session, phones: list[int]) -> tuple[Pages, list[TalkDay]]:
    asked = here()
    tenant = asked.association_id
    pages = _pages(count_talk(session, tenant, phones), size=TEXTS_A_PAGE)
    first = (pages.number - 1) * TEXTS_A_PAGE
    texts = talk_of_phones(session, tenant, phones, first=first, most=TEXTS_A_PAGE)
    came = [text.row for text in texts if isinstance(text, CameText)]
    notes = notes_of_texts(session, tenant, phones, texts=came)
    preview = renderer(asked.services.catalogue, asked.association.language)
    return pages, talk_days(
        texts, notes, hours=Hours(zone=asked.zone, today=asked.today), preview=preview
    )


@page.post("/households/<id:household_id>/numbers")
def numbers(household_id: int) -> Response | str:
    """Show a household's whole numbers, and write down who looked."""
    asked = here()
    if Form.of(request.form, locale=asked.tongue.locale).resumed:
        return redirect(url_for("households.show", household_id=household_id), code=SEE_OTHER)
    with asked.services.sessions.begin() as session:
        line = household_by_id(session, asked.association_id, household_id)
        found = phones_of(session, asked.association_id, household_id)
        shown = [shown_number(bundle.phone.number) for bundle in found]
        entry = AuditRow(
            at=asked.now,
            who=asked.visit.shown,
            what="number shown",
            subject="household",
            subject_id=household_id,
            origin=Source.FORM.value,
            detail={},
        )
        audit(session, asked.association_id, entry)
    return render_template("households/numbers.html", line=line, numbers=shown)


@page.get("/households/<id:household_id>/stop")
def check_stop(household_id: int) -> str:
    """Show what will happen before a phone's texts are stopped."""
    return _check_stop(household_id, Form(locale=here().tongue.locale))


@page.post("/households/<id:household_id>/stop")
def stop(household_id: int) -> Response | tuple[str, int] | str:
    """Stop all texts to a phone, since somebody asked for it by voice."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _check_stop(household_id, form)
    answer = save_once(form, lambda session: _stop(session, form, household_id))
    return answer or (_check_stop(household_id, form), 422)


def _check_stop(household_id: int, form: Form) -> str:
    asked = here()
    with asked.reading() as session:
        line = household_by_id(session, asked.association_id, household_id)
        found = phones_of(session, asked.association_id, household_id)
        phones = [phone_line(bundle, line.household) for bundle in found]
    keys = {phone.phone_id: new_token() for phone in phones}  # each button is a form of its own
    return render_template(
        "households/stop.html", line=line, phones=phones, keys=keys, form=form, labels=LABELS
    )


def _stop(session: Session, form: Form, household_id: int) -> Done | None:
    asked = here()
    household_by_id(session, asked.association_id, household_id)
    own = phones_of(session, asked.association_id, household_id)
    chosen = form.one_of("phone", [str(bundle.phone.id) for bundle in own])
    if chosen is None:
        return None
    stopped_now = stop_phone(staff_desk(session, Source.CALL), int(chosen))
    return Done(
        location=url_for("households.show", household_id=household_id),
        said=sentence(
            "All texts to this phone have stopped. Only the phone itself can start them again."
        )
        if stopped_now
        else sentence("The texts to this phone had stopped before."),
    )
