"""Calls to make, one after the other: why, what to say, and what came of it with one press."""

from collections.abc import Callable

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.confirmations.calls import SettledBefore, settle_call
from service.confirmations.outcomes import NeedsReading
from service.messages.phone import masked_number, shown_number
from service.records.engine import Session
from service.records.fields import Source
from service.records.people import AuditRow
from service.records.task_lines import (
    TaskLine,
    count_settled,
    count_tasks,
    settled_lines,
    task_line,
    task_lines,
    task_order,
)
from service.records.tasks import audit
from service.records.traffic import CallTaskRow
from service.web.form import Form
from service.web.here import here
from service.web.hints import hint_words
from service.web.paging import SIZE, Pages, asked_page, pages_of
from service.web.saving import SEE_OTHER, Done, save_once, staff_desk
from service.web.sentence import sentence
from service.web.task_buttons import LABELS, ON, SAID, THAT_DAY, answer_of
from service.web.task_lists import CALL, HEADINGS, KINDS, MINE, TO_CALL, day_began, task_items
from service.web.task_view import next_of, task_view, ways_to_settle
from service.web.task_words import result_words, settled_words

page = Blueprint("tasks", __name__)


@page.get("/tasks")
def index() -> str:
    """List the tasks of one kind, 25 a page; without a kind those to call."""
    asked = here()
    chosen = request.args.get("kind", CALL)
    if chosen not in HEADINGS:
        chosen = CALL
    with asked.reading() as session:
        pages, lines = _settled(session) if chosen == MINE else _waiting(session, chosen)
        items = task_items(session, asked.association_id, lines)
    return render_template(
        "tasks/index.html", chosen=chosen, heading=HEADINGS[chosen], pages=pages, items=items
    )


def _waiting(session: Session, chosen: str) -> tuple[Pages, list[TaskLine]]:
    asked = here()
    kinds, today = KINDS[chosen], asked.today
    pages = _pages(count_tasks(session, asked.association_id, today=today).of(kinds))
    first = (pages.number - 1) * SIZE
    return pages, task_lines(
        session, asked.association_id, kinds=kinds, today=today, first=first, most=SIZE
    )


def _settled(session: Session) -> tuple[Pages, list[TaskLine]]:
    asked = here()
    who, since = asked.visit.shown, day_began(asked)
    pages = _pages(count_settled(session, asked.association_id, who=who, since=since))
    first = (pages.number - 1) * SIZE
    return pages, settled_lines(
        session, asked.association_id, who=who, since=since, first=first, most=SIZE
    )


def _pages(count: int) -> Pages:
    last = pages_of(count, 1).last
    return pages_of(count, min(asked_page(), last))  # a list may have grown shorter


@page.get("/tasks/<id:task_id>")
def show(task_id: int) -> str:
    """Show one task: whom to call and why, what to say, and a button for each outcome."""
    return _show(task_id, Form(locale=here().tongue.locale))


@page.post("/tasks/<id:task_id>")
def save(task_id: int) -> Response | tuple[str, int] | str:
    """Take what came of a call, and go on to the next one."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return _show(task_id, form)
    answer = save_once(form, lambda session: _save(session, form, task_id))
    return answer or (_show(task_id, form), 422)


@page.post("/tasks/<id:task_id>/number")
def number(task_id: int) -> Response | str:
    """Show the task once more with the whole numbers, and write down who looked."""
    asked = here()
    form = Form.of(request.form, locale=asked.tongue.locale)
    if form.resumed:
        return redirect(url_for("tasks.show", task_id=task_id), code=SEE_OTHER)
    with asked.services.sessions.begin() as session:
        line = task_line(session, asked.association_id, task_id)
        entry = AuditRow(
            at=asked.now,
            who=asked.visit.shown,
            what="number shown",
            subject="call_task",
            subject_id=line.task.id,
            origin=Source.FORM.value,
            detail={},
        )
        audit(session, asked.association_id, entry)
    return _show(task_id, Form(locale=asked.tongue.locale), write_number=shown_number)


def _show(task_id: int, form: Form, *, write_number: Callable[[str], str] = masked_number) -> str:
    asked = here()
    with asked.reading() as session:
        view = task_view(session, asked, task_id, write_number=write_number)
    return render_template(
        "tasks/show.html",
        view=view,
        form=form,
        day_form=Form(locale=form.locale, typed=form.typed, faults=form.faults),
        labels=LABELS,
        masked=write_number is masked_number,
    )


def _save(session: Session, form: Form, task_id: int) -> Done | None:
    asked = here()
    line = task_line(session, asked.association_id, task_id)
    if line.task.closed_at is not None:
        return _settled_before(line.task)
    answers, phones = ways_to_settle(session, asked.association_id, line.task)
    answer = answer_of(form, answers, phones, today=asked.today)
    if answer is None:
        return None
    order = task_order(session, asked.association_id, kinds=TO_CALL, today=asked.today)
    result = settle_call(staff_desk(session, Source.CALL), task_id, answer)
    if isinstance(result, SettledBefore):
        return _settled_before(result.task)
    if isinstance(result, NeedsReading):
        typed = form.value(SAID).endswith(THAT_DAY)
        form.refuse(ON if typed else SAID, hint_words(result.hint))
        return None
    home = "" if line.household is None else line.household.code
    return Done(location=_next(order, task_id), said=result_words(result, home=home))


def _next(order: list[int], task_id: int) -> str:
    following = next_of(order, task_id)
    return "/" if following is None else url_for("tasks.show", task_id=following)


def _settled_before(task: CallTaskRow) -> Done:
    asked = here()
    at = "" if task.closed_at is None else asked.tongue.moment(task.closed_at, asked.zone)
    what = settled_words(task)
    said = (
        sentence("Already settled by %(who)s, %(at)s: %(what)s.", who=who, at=at, what=what)
        if (who := task.closed_by)
        else sentence("Already settled, %(at)s: %(what)s.", at=at, what=what)
    )
    return Done(location=url_for("tasks.show", task_id=task.id), said=said)
