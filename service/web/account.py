"""One's own account: sign out, the language of the pages, where one is signed in."""

from flask import Blueprint, abort, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from service.records.engine import Session
from service.records.staff_queries import set_language
from service.sign_in.visits import end_visit, visits_of
from service.web.form import Form
from service.web.here import here, office
from service.web.saving import Done, save_once
from service.web.sentence import sentence
from service.web.sign_in import language_names

page = Blueprint("account", __name__)


@page.get("/account")
def show() -> str:
    """Show the account."""
    asked = here()
    with asked.reading() as records:
        visits = visits_of(records, asked.association_id, asked.visit.staff_id, now=office().wall())
    return render_template(
        "account.html",
        form=Form(locale=asked.tongue.locale),
        visits=visits,
        languages=language_names(),
    )


@page.post("/account/sign-out")
def sign_out() -> Response:
    """End this browser's visit."""
    asked = here()
    with asked.services.sessions.begin() as records:
        end_visit(records, asked.visit, session_id=asked.visit.session_id, now=office().wall())
    session.clear()
    return redirect(url_for("sign_in.ask"), code=303)


@page.post("/account/language")
def choose_language() -> Response:
    """Choose the language of the pages."""
    asked = here()
    chosen = request.form.get("language", "")
    if chosen not in office().tongues:
        abort(400)
    with asked.services.sessions.begin() as records:
        set_language(records, asked.association_id, asked.visit.staff_id, language=chosen)
    return redirect(url_for("account.show"), code=303)


@page.post("/account/visits/<id:session_id>/end")
def end(session_id: int) -> Response | str:
    """End another browser's visit of one's own."""
    form = Form.of(request.form, locale=here().tongue.locale)
    if form.resumed:
        return show()
    return save_once(form, lambda records: _end(records, session_id)) or show()


def _end(records: Session, session_id: int) -> Done:
    if not end_visit(records, here().visit, session_id=session_id, now=office().wall()):
        abort(404)
    return Done(location=url_for("account.show"), said=sentence("That browser is signed out."))
