"""What a visitor sees when something does not work: a plain sentence, and nothing of the inside."""

from logging import getLogger

from flask import Flask, Response, g, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from service.records.faults import NO_SUCH_ROW, STORE_FAULTS
from service.sign_in.secrets import new_token
from service.web.kept import kept_form
from service.web.sentence import Sentence, sentence

log = getLogger("furrowbell.web")

SENTENCES = {
    400: sentence("The page could not read what your browser sent. Go back and try again."),
    403: sentence("This is not open to you. Go back to Today."),
    404: sentence("There is no such page here. It may have been removed."),
    405: sentence("This address only takes forms. Go back to Today."),
    413: sentence("What you sent is too large. Send less at once."),
    429: sentence("Too many tries at once. Wait a minute, then try again."),
    500: sentence("Something went wrong on our side; nothing was changed. Try again in a minute."),
    503: sentence("The records cannot be reached just now; nothing was changed. Try again soon."),
}


def handle_failures(app: Flask) -> None:
    """Give the app a plain page for each way in which a request can fail."""

    @app.errorhandler(CSRFError)
    def forged(_error: CSRFError) -> tuple[str, int]:
        if request.blueprint == "sign_in":
            return _plain(400)
        return kept_form("token", status=400)

    @app.errorhandler(HTTPException)
    def refused(error: HTTPException) -> tuple[str, int] | HTTPException | Response:
        if error.code is None or error.code < 400:  # noqa: PLR2004 -- a redirect is no failure
            return error
        body, _ = _plain(error.code)
        answer = Response(body, status=error.code)
        for name, value in error.get_headers():
            if name in ("Allow", "Retry-After"):
                answer.headers[name] = value
        return answer

    @app.errorhandler(NO_SUCH_ROW)
    def missing(_error: Exception) -> tuple[str, int]:
        return _plain(404)

    for fault in STORE_FAULTS:
        app.register_error_handler(fault, _store_fault)

    @app.errorhandler(Exception)
    def broken(error: Exception) -> tuple[str, int]:
        reference = new_token()[:8]
        log.error("page failed", exc_info=error, extra={"reference": reference})
        return _plain(500, reference=reference)


def _store_fault(error: Exception) -> tuple[str, int]:
    log.error("records cannot be reached", exc_info=error)
    g.pop("here", None)  # the menu would ask the same records again
    if request.method == "POST" and request.blueprint != "sign_in":
        return kept_form("store", status=503)
    return _plain(503)


def _plain(code: int, *, reference: str = "") -> tuple[str, int]:
    said: Sentence = SENTENCES.get(code, SENTENCES[400])
    return render_template("failed.html", said=said, code=code, reference=reference), code
