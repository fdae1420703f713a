"""Saving a form once: a second press, or the same form sent again, changes nothing."""

from collections.abc import Callable
from dataclasses import dataclass

from flask import flash, redirect
from werkzeug.wrappers import Response

from service.confirmations.outcomes import Desk
from service.records.engine import Session
from service.records.fields import Source
from service.records.form_posts import first_post, post_of, set_location
from service.web.form import Form
from service.web.here import Here, here
from service.web.sentence import Sentence, sentence

SEE_OTHER = 303
DONE, NOTE = "done", "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What a saved form led to: the page to show next, and the line that says what was done.

    `also` goes on in that line; `notes` are to be minded, each in a line of its own.
    """

    location: str
    said: Sentence
    also: tuple[Sentence, ...] = ()
    notes: tuple[Sentence, ...] = ()


class _NothingSavedError(Exception):
    """Rolls the transaction back: the form has faults."""


def save_once(form: Form, act: Callable[[Session], Done | None]) -> Response | None:
    """Run `act` in one transaction and go on to its page; None, and nothing kept, if it gives None.

    The form's key goes with the transaction, so a form has one effect however often it comes.
    """
    asked = here()
    try:
        with asked.services.sessions.begin(alone=asked.association_id) as session:
            done = _first(session, asked, form, act)
    except _NothingSavedError:
        return None
    return go_on(done)


def _first(
    session: Session, asked: Here, form: Form, act: Callable[[Session], Done | None]
) -> Done:
    tenant = asked.association_id
    if not first_post(session, tenant, form.key, staff_id=asked.visit.staff_id, now=asked.now):
        earlier = post_of(session, tenant, form.key)
        at = asked.tongue.moment(earlier.at, asked.zone)
        return Done(location=earlier.location, said=sentence("Already saved at %(at)s.", at=at))
    done = act(session)
    if done is None:
        raise _NothingSavedError
    set_location(session, tenant, form.key, location=done.location)
    return done


def go_on(done: Done) -> Response:
    """Go on to the next page, which says first what was done."""
    say = here().tongue.say
    flash(" ".join(say(part) for part in (done.said, *done.also)), DONE)
    for note in done.notes:
        flash(say(note), NOTE)
    return redirect(done.location, code=SEE_OTHER)


def staff_desk(session: Session, source: Source) -> Desk:
    """Return where news is taken that a member of staff writes down."""
    asked = here()
    return Desk(
        session=session,
        association_id=asked.association_id,
        source=source,
        today=asked.today,
        now=asked.now,
        noted_by=asked.visit.shown,
    )
