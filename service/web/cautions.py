"""Help and cautions: what everybody must know, each with its source, and the reply codes."""

from flask import Blueprint, render_template

from service.agronomy.cautions import cautions
from service.web.caution_words import CODES, caution_groups
from service.web.here import here
from service.web.planting_words import how_had
from service.web.sentence import Sentence

page = Blueprint("cautions", __name__)


@page.get("/cautions")
def show() -> str:
    """Show every caution by when it holds, and what growers can text."""
    return render_template(
        "cautions.html",
        groups=caution_groups(cautions()),
        codes=[(code, _in_texts(code), meaning) for code, meaning in CODES],
        how_had=how_had,
    )


def _in_texts(code: Sentence) -> str:
    """Return a code in the language of the association's texts, blank if it is the page's own."""
    asked = here()
    texts = asked.office.tongues.get(asked.association.language)
    if texts is None or texts.code == asked.tongue.code:
        return ""
    said = texts.say(code)
    return "" if said == asked.tongue.say(code) else said
