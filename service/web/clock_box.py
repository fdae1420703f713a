"""The question whether the clock is right: asked on Today, answered by an administrator.

The clock is that of the whole service, so the administrator of any association may answer. Until
then no form is saved, for it would be dated and planned by a time that nobody trusts; what was
typed is kept.
"""

from dataclasses import dataclass
from datetime import date, datetime

from flask import Blueprint, abort, flash, g, redirect, request, url_for
from werkzeug.wrappers import Response

from service.dispatch.clock_watch import doubt_of, look_at
from service.dispatch.doubt import Confirmation, Doubt
from service.outbox.clock_judge import Turn
from service.planning.send_window import local_day
from service.records.clock_watch import Sayer
from service.records.engine import Session
from service.records.staff import Role
from service.web.form import Form
from service.web.guard import OPEN_BLUEPRINTS
from service.web.here import Here, here, office
from service.web.kept import kept_form
from service.web.saving import NOTE, SEE_OTHER, Done, save_once
from service.web.sentence import Sentence, sentence

page = Blueprint("clock", __name__)

# forms that date and plan nothing: one's own account, this question, and the pretend phones
_UNDATED = OPEN_BLUEPRINTS | {"account", "clock", "handset", "phones"}
_UNAVAILABLE = 503


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockBox:
    """What is asked: `on` and `hour` are what the clock shows, in the association's zone."""

    on: date
    hour: str
    why: Sentence
    shown: str
    key: str
    may_answer: bool


def clock_box(asked: Here) -> ClockBox | None:
    """Return what Today asks of the clock, None where it is right."""
    doubt = doubt_of(asked.services.watch)
    if doubt is None:
        return None
    return ClockBox(
        on=local_day(doubt.shown_at, asked.zone),
        hour=_hour(doubt.shown_at, asked),
        why=_why(doubt, asked),
        shown=doubt.shown_at.isoformat(),
        key=Form(locale=asked.tongue.locale).key,
        may_answer=asked.visit.role is Role.ADMIN,
    )


@page.before_app_request
def keep_forms() -> tuple[str, int] | None:
    """Keep what was typed in a form while the clock is in doubt, and save nothing."""
    if request.method != "POST" or request.blueprint in _UNDATED or g.get("here") is None:
        return None
    if doubt_of(office().services.watch) is None:
        return None
    return kept_form("clock", status=_UNAVAILABLE)


@page.post("/clock")
def confirm() -> Response:
    """Take an administrator's word that the clock is right."""
    asked = here()
    if asked.visit.role is not Role.ADMIN:
        abort(403)
    form = Form.of(request.form, locale=asked.tongue.locale)
    saved = None if form.resumed else save_once(form, lambda session: _confirm(session, form))
    if saved is not None:
        look_at(asked.services.watch)  # so that the next page shows what came of it
        return saved
    said = sentence("Nothing was changed: look at the date and time once more.")
    flash(asked.tongue.say(said), NOTE)
    return redirect(url_for("today.index"), code=SEE_OTHER)


def _confirm(session: Session, form: Form) -> Done | None:
    asked = here()
    shown_at = _instant(form.value("shown"))
    if shown_at is None:
        return None
    watch = asked.services.watch
    sayer = Sayer(who=asked.visit.shown, association=asked.association_id)
    answer = Confirmation.NOT_NEEDED
    if watch is not None:
        answer = watch.confirm(session, shown_at, sayer=sayer)
    if answer is Confirmation.MOVED:
        return None
    said = sentence("Noted: the date and time are right. Sending goes on.")
    if answer is Confirmation.NOT_NEEDED:
        said = sentence("The date and time were settled before.")
    return Done(location=url_for("today.index"), said=said)


def _instant(text: str) -> datetime | None:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return None if found.tzinfo is None else found


def _why(doubt: Doubt, asked: Here) -> Sentence:
    day, hour = local_day(doubt.trusted_at, asked.zone), _hour(doubt.trusted_at, asked)
    if doubt.turn is Turn.BACK:
        return sentence(
            "The clock of the machine has gone back: the service has already seen %(day)s, "
            "%(hour)s.",
            day=day,
            hour=hour,
        )
    return sentence(
        "The service has not run since %(day)s, %(hour)s, or the clock of its machine has jumped "
        "ahead.",
        day=day,
        hour=hour,
    )


def _hour(at: datetime, asked: Here) -> str:
    return f"{at.astimezone(asked.zone):%H:%M}"
