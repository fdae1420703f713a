"""Try a reply: what a text would mean, and what the service would answer. Changes nothing."""

from dataclasses import dataclass

from flask import Blueprint, render_template, request

from service.inbound.reply_codes import Meaning, read_reply
from service.inbound.words import languages
from service.web.form import Form
from service.web.here import Here, here
from service.web.household_words import language_words
from service.web.reading_words import Days, reading_words, why_words
from service.web.sentence import Sentence
from service.web.try_form import LABELS, TEXT_MOST, blank_form, context_of
from service.web.try_words import Answer, answers_of

page = Blueprint("try_reply", __name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What a tried text means; `why` is set where a person would have to read it."""

    text: str
    language: str
    line: Sentence
    why: Sentence | None
    answers: tuple[Answer, ...]


@page.get("/try")
def ask() -> str:
    """Show the form, filled in with an invented phone."""
    return _show(blank_form(here()), None)


@page.post("/try")
def answer() -> str | tuple[str, int]:
    """Say what the text would mean."""
    asked = here()
    form = Form.of(request.form, locale=asked.tongue.locale)
    meant = _meant(asked, form)
    shown = _show(form, meant)
    return (shown, 422) if meant is None else shown


def _meant(asked: Here, form: Form) -> Meant | None:
    text = form.text("text", most=TEXT_MOST)
    with asked.reading() as session:
        context = context_of(session, asked, form)
    if text is None or context is None:
        return None
    reading = read_reply(text, context)
    unsure = reading.meaning is Meaning.NEEDS_READING
    return Meant(
        text=text,
        language=context.language,
        line=reading_words(reading, Days(came_on=context.received_on, today=asked.today)),
        why=why_words(reading.hint) if unsure else None,
        answers=tuple(
            answers_of(
                reading,
                catalogue=asked.services.catalogue,
                association=asked.association,
                language=context.language,
            )
        ),
    )


def _show(form: Form, meant: Meant | None) -> str:
    locale = here().tongue.locale
    names = ((code, language_words(code, locale)) for code in languages())
    return render_template(
        "try.html",
        form=form,
        labels=LABELS,
        languages=sorted(names, key=lambda pair: pair[1]),
        meant=meant,
    )
