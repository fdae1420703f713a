"""The one style sheet; its address names its content, so a browser may keep it for a year."""

from hashlib import sha256
from importlib.resources import files

from flask import Blueprint, Response

SHEET = files("service.web").joinpath("furrow.css").read_text(encoding="utf-8")
DIGEST = sha256(SHEET.encode()).hexdigest()[:12]

page = Blueprint("style", __name__)


@page.get(f"/furrow-{DIGEST}.css")
def sheet() -> Response:
    """Return the style sheet."""
    answer = Response(SHEET, mimetype="text/css")
    answer.headers["Cache-Control"] = "public, max-age=31536000, immutable"
    return answer


ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16">'
    '<path fill="none" stroke="#5a3416" stroke-width="2" d="M1 5q3.5-3 7 0t7 0M1 9q3.5-3 7 0t7 0"/>'
    '<path stroke="#1d5a34" stroke-width="2" d="M1 14h14"/></svg>'
)


@page.get("/icon.svg")
def icon() -> Response:
    """Return the picture that a browser shows beside the title: furrows."""
    answer = Response(ICON, mimetype="image/svg+xml")
    answer.headers["Cache-Control"] = "public, max-age=31536000, immutable"
    return answer
