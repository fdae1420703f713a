"""Signing in: name and password, then a code; what was typed elsewhere meanwhile is carried on."""

from flask import Blueprint, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from service.records.staff import StaffRow
from service.sign_in.delays import WaitError
from service.sign_in.entry import (
    Attempt,
    CodeRefusedError,
    PasswordAgainError,
    SignInRefusedError,
    check_code,
    check_password,
)
from service.sign_in.passwords import BusyError
from service.sign_in.secrets import VaultError
from service.sign_in.visits import open_visit
from service.web.here import office
from service.web.kept import Kept
from service.web.sentence import Sentence, sentence

page = Blueprint("sign_in", __name__)

TOKEN, HALFWAY, LANGUAGE = "visit", "halfway", "language"
Answer = Response | str | tuple[str, int] | tuple[str, int, dict[str, str]]

WRONG = sentence("The name or the password is not right. Type both again.")
WRONG_CODE = sentence(
    "This code is not right or was used already. Type the one that the app shows now, or a "
    "recovery code."
)
AGAIN = sentence("Begin again: type your name and your password, then a new code.")
BUSY = sentence("Many people sign in just now. Wait a minute, then try again.")


@page.get("/sign-in")
def ask() -> str:
    """Ask for name and password."""
    return _ask(Kept())


@page.post("/sign-in")
def check() -> Answer:
    """Check name and password, and ask for the code."""
    kept, typed = Kept.carried(request.form), request.form
    attempt = Attempt(
        name=typed.get("name", ""),
        password=typed.get("password", ""),
        address=request.remote_addr or "",
    )
    try:
        session[HALFWAY] = check_password(office().entrance, attempt, now=office().wall())
    except SignInRefusedError:
        return _ask(kept, fault=WRONG), 422
    except WaitError as error:
        return _ask(kept, fault=_wait(error)), 429, {"Retry-After": str(error.seconds)}
    except BusyError:
        return _ask(kept, fault=BUSY), 429, {"Retry-After": "60"}
    return _ask_code(kept)


@page.post("/sign-in/code")
def check_second() -> Answer:
    """Check the code, and go on to where the visitor was going."""
    kept = Kept.carried(request.form)
    halfway = session.get(HALFWAY, "")
    try:
        staff = check_code(
            office().entrance, halfway, request.form.get("code", ""), now=office().wall()
        )
    except CodeRefusedError:
        return _ask_code(kept, fault=WRONG_CODE), 422
    except (PasswordAgainError, VaultError):  # or the secret key is another than it was
        session.pop(HALFWAY, None)
        return _ask(kept, fault=AGAIN), 422
    except WaitError as error:
        return _ask_code(kept, fault=_wait(error)), 429, {"Retry-After": str(error.seconds)}
    let_in(staff)
    if kept.path:
        return render_template("kept.html", kept=kept, reason="signed-in")
    return redirect(_own_path(request.form.get("next", "")), code=303)


@page.post("/sign-in/language")
def choose_language() -> Response:
    """Choose the language of the pages before signing in."""
    chosen = request.form.get("language", "")
    if chosen in office().tongues:
        session[LANGUAGE] = chosen
    return redirect(url_for("sign_in.ask"), code=303)


def let_in(staff: StaffRow) -> None:
    """Begin a visit in this browser, with a new token and nothing left of what was before."""
    session.clear()
    with office().services.sessions.begin() as records:
        session[TOKEN] = open_visit(records, staff, now=office().wall())


def ask_again(
    kept: Kept, *, fault: Sentence | None = None, name: str = "", onward: str = ""
) -> str:
    """Return the page that asks a visitor to sign in whose form is kept meanwhile."""
    return render_template(
        "sign_in/ask.html",
        kept=kept,
        fault=fault,
        name=name,
        next=onward,
        languages=language_names(),
    )


def language_names() -> list[tuple[str, str]]:
    """Return the codes of the pages' languages with what each calls itself."""
    return [
        (code, (found.locale.display_name or code).capitalize())
        for code, found in office().tongues.items()
    ]


def _ask(kept: Kept, *, fault: Sentence | None = None) -> str:
    return ask_again(
        kept,
        fault=fault,
        name=request.form.get("name", ""),
        onward=request.values.get("next", ""),
    )


def _ask_code(kept: Kept, *, fault: Sentence | None = None) -> str:
    return render_template(
        "sign_in/code.html", kept=kept, fault=fault, next=request.form.get("next", "")
    )


def _wait(error: WaitError) -> Sentence:
    return sentence("Too many tries. Wait %(n)s seconds, then try again.", n=error.seconds)


def _own_path(path: str) -> str:
    plain = path.isascii() and path.isprintable() and "\\" not in path and "%" not in path
    return path if plain and path.startswith("/") and not path.startswith("//") else "/"
