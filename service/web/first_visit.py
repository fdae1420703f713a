"""The first visit by a one-time link: a password of one's own, and a second factor."""

from flask import Blueprint, abort, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from service.config import Profile
from service.records.people import AssociationRow
from service.records.plantings import association
from service.records.staff import StaffRow
from service.sign_in.codes import new_totp_secret, totp_address
from service.sign_in.links import (
    Chosen,
    LinkOverError,
    ProvedTotp,
    finish_link,
    prove_totp,
    spend_link,
    take_link,
)
from service.sign_in.new_password import PasswordRefusedError, check_new_password
from service.sign_in.passwords import BusyError
from service.sign_in.secrets import token_hash
from service.web.form import Form
from service.web.here import office, tongue
from service.web.sentence import sentence
from service.web.sign_in import let_in

page = Blueprint("first_visit", __name__)

FRESH = "new_totp"  # under this name the cookie keeps a factor not yet proved
GROUP = 4
LABELS = {
    "password": sentence("New password"),
    "again": sentence("The same password again"),
    "code": sentence("Code from the app"),
}
OVER = sentence("This link was used already or is too old. Ask an administrator for a new one.")
Answer = Response | str | tuple[str, int]


@page.get("/first-visit/<token>")
def ask(token: str) -> Answer:
    """Ask for a password and a second factor; in the demo the link lets in at once."""
    if office().services.settings.profile is Profile.DEMO:
        return _let_in_at_once(token)
    try:
        staff, _ = _owner(token)
    except LinkOverError:
        return _over()
    if staff.totp_sealed is None and _secret(token) == "":
        session[FRESH] = [token_hash(token), new_totp_secret()]
    return _show(token, staff, Form(locale=tongue().locale))


@page.post("/first-visit/<token>")
def save(token: str) -> Answer:
    """Keep the password and the second factor, show the recovery codes, and let in."""
    try:
        staff, row = _owner(token)
        form = Form.of(request.form, locale=tongue().locale)
        chosen = _chosen(token, form, staff, row)
        if chosen is None:
            return _show(token, staff, form), 422
        with office().services.sessions.begin() as records:
            finished = finish_link(records, token, chosen, now=office().wall())
    except LinkOverError:
        return _over()
    except BusyError:
        abort(429)
    if finished is None:
        abort(404)
    session.pop(FRESH, None)
    if not finished.recovery_codes:  # whoever has a second factor must still show it
        return redirect(url_for("sign_in.ask"), code=303)
    let_in(finished.staff)
    return render_template("sign_in/recovery.html", codes=finished.recovery_codes)


def _let_in_at_once(token: str) -> Answer:
    try:
        with office().services.sessions.begin() as records:
            staff = spend_link(records, token, now=office().wall())
    except LinkOverError:
        return _over()
    if staff is None:
        abort(404)
    let_in(staff)
    return redirect("/", code=303)


def _owner(token: str) -> tuple[StaffRow, AssociationRow]:
    with office().services.sessions.read() as records:
        staff = take_link(records, token, now=office().wall())
        if staff is None:
            abort(404)
        return staff, association(records, staff.association_id)


def _chosen(token: str, form: Form, staff: StaffRow, row: AssociationRow) -> Chosen | None:
    typed = request.form.get("password", "")
    totp = _proved(token, form) if staff.totp_sealed is None else None
    try:
        password = check_new_password(typed, context=(staff.name, staff.shown, row.name))
    except PasswordRefusedError:
        form.refuse(
            "password",
            sentence(
                "Use at least 12 characters that are not easily guessed: four words that have "
                "nothing to do with each other, for example."
            ),
        )
        return None
    if request.form.get("again", "") != typed:
        form.refuse("again", sentence("The two passwords differ. Type the same one twice."))
    if not form.sound:
        return None
    with office().entrance.passwords.place() as hasher:
        return Chosen(password_hash=hasher.hash(password), totp=totp)


def _secret(token: str) -> str:
    # two people's links opened in one browser must not get the same second factor
    whose, secret = session.get(FRESH, ("", ""))
    return str(secret) if whose == token_hash(token) else ""


def _proved(token: str, form: Form) -> ProvedTotp | None:
    secret = _secret(token)
    code = request.form.get("code", "")
    proved = (
        prove_totp(office().entrance.vault, secret, code, now=office().wall()) if secret else None
    )
    if proved is None:
        form.refuse("code", sentence("Type the six digits that the app shows now."))
    return proved


def _show(token: str, staff: StaffRow, form: Form) -> str:
    secret = "" if staff.totp_sealed is not None else _secret(token)
    shown = Form(locale=form.locale, faults=form.faults)  # a password is never shown again
    return render_template(
        "sign_in/first.html",
        form=shown,
        labels=LABELS,
        name=staff.name,
        secret=secret,
        grouped=" ".join(secret[at : at + GROUP] for at in range(0, len(secret), GROUP)),
        uri=totp_address(secret, staff.name) if secret else "",
    )


def _over() -> tuple[str, int]:
    return render_template("failed.html", said=OVER, code=410, reference=""), 410
