"""Who is asking: pages are for those who signed in, and forms come only from our own pages."""

from flask import g, redirect, request, session, url_for
from werkzeug.exceptions import Forbidden
from werkzeug.wrappers import Response

from service.records.plantings import association
from service.sign_in.spans import SEEN_EVERY
from service.sign_in.visits import touch_visit, visit_of
from service.web.here import Here, office
from service.web.kept import Kept
from service.web.sign_in import LANGUAGE, TOKEN, ask_again
from service.web.tongue import SOURCE, Tongue

OPEN_BLUEPRINTS = frozenset(
    {"style", "sign_in", "first_visit", "gateways"}
)  # what a visitor may see who has not signed in
_OWN_SITES = ("same-origin", "none")
_READING = ("GET", "HEAD", "OPTIONS")


def ask_who() -> Response | tuple[str, int] | None:
    """Let a signed-in visitor through; all others sign in first, and lose nothing they typed.

    Raises:
        Forbidden: a form was sent by a page of another site.
    """
    g.tongue = _guessed_tongue()
    _refuse_strangers()
    token = session.get(TOKEN)
    wall = office().wall()
    sessions = office().services.sessions
    if isinstance(token, str):
        with sessions.read() as records:
            visit = visit_of(records, token, now=wall)
            row = None if visit is None else association(records, visit.association_id)
        if visit is not None and row is not None:
            if wall - visit.seen_at >= SEEN_EVERY:  # no write lock for each page
                with sessions.begin() as records:
                    touch_visit(records, visit, now=wall)
            g.tongue = office().tongues.get(visit.language, g.tongue)
            g.here = Here(
                office=office(),
                visit=visit,
                association=row,
                tongue=g.tongue,
                now=office().services.clock(),
            )
            return None
    if request.endpoint is None or request.blueprint in OPEN_BLUEPRINTS:
        return None
    if request.method in _READING:
        return redirect(url_for("sign_in.ask", next=request.full_path.rstrip("?")), code=303)
    return ask_again(Kept.of_request()), 403


def _refuse_strangers() -> None:
    # a second net beside the token: browsers say where a form came from
    site = request.headers.get("Sec-Fetch-Site")
    if request.method not in _READING and site is not None and site not in _OWN_SITES:
        raise Forbidden


def _guessed_tongue() -> Tongue:
    tongues = office().tongues
    chosen = session.get(LANGUAGE)
    if isinstance(chosen, str) and chosen in tongues:
        return tongues[chosen]
    return tongues[request.accept_languages.best_match(list(tongues)) or SOURCE]
