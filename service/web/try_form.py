"""The situation that a text is tried in: typed by hand, or a household's own as recorded."""

import re
from datetime import date, time

from service.inbound.codes import LETTERS
from service.inbound.reply_codes import Context, DoseRef
from service.inbound.situation import situation_of
from service.inbound.words import base_language, languages
from service.planning.drafts import language_of
from service.planning.send_window import at_local
from service.records.engine import Session
from service.records.household_codes import household_coded
from service.records.household_list import phones_of_households
from service.records.plantings import association
from service.web.form import Form
from service.web.here import Here
from service.web.sentence import sentence

LABELS = {
    "text": sentence("Text"),
    "household": sentence("Household code"),
    "language": sentence("Language of the grower"),
    "plots": sentence("Letters of the plots"),
    "open": sentence("Doses that are open"),
    "done": sentence("Doses noted as done"),
    "cans": sentence("Cans being filled"),
    "received": sentence("Day on which the text came"),
    "shared": sentence("Several homes share the phone"),
}
TEXT_MOST, CODE_MOST, LIST_MOST = 480, 16, 60
MOST_DOSES, MOST_CANS = 9, 999
NOON = time(12)

_BETWEEN = re.compile(r"[\s,;]+")
_DOSE = re.compile(r"([A-Za-z])([1-9])")
_CAN = re.compile(r"[0-9]{1,3}")


def blank_form(asked: Here) -> Form:
    """Return the form as it stands at first: an invented phone with two plots."""
    language = base_language(asked.association.language)
    return Form(
        locale=asked.tongue.locale,
        typed={
            "language": language if language in languages() else "en",
            "plots": "A, D",
            "open": "A3, D2",
            "done": "A1, A2, D1",
            "cans": "3",
            "received": asked.tongue.day(asked.today).partition(" ")[2],
        },
    )


def context_of(session: Session, asked: Here, form: Form) -> Context | None:
    """Return the situation that the form names, or None after noting what is wrong."""
    received_on = form.day("received")
    code = form.text_or_blank("household", most=CODE_MOST)
    if code:
        return _recorded(session, asked, form, code, received_on)
    return _typed(form, received_on)


def _recorded(
    session: Session, asked: Here, form: Form, code: str, received_on: date | None
) -> Context | None:
    household = household_coded(session, asked.association_id, code)
    if household is None:
        form.refuse("household", sentence("No household has this code. Look it up in the list."))
        return None
    phones = phones_of_households(session, asked.association_id, [household.id])
    phone = next(iter(phones.get(household.id, ())), None)
    if phone is None:
        form.refuse(
            "household",
            sentence("This household has no phone. Leave the code out and fill in the rest."),
        )
    if phone is None or received_on is None:
        return None
    return situation_of(
        session,
        association(session, asked.association_id),
        phone,
        language=language_of(phone),
        now=at_local(received_on, NOON, asked.zone),
    ).context


def _typed(form: Form, received_on: date | None) -> Context | None:
    language = form.one_of("language", languages())
    plots = _plots(form)
    opens, done = _doses(form, "open", plots), _doses(form, "done", plots)
    cans = _cans(form)
    if set(opens) & set(done):
        form.refuse("done", sentence("Name each dose as open or as done, not as both."))
    if not form.sound or language is None or received_on is None:
        return None
    return Context(
        language=language,
        plots=plots,
        open=opens,
        done=done,
        cans=cans,
        received_on=received_on,
        doses=MOST_DOSES,
        shared=form.yes("shared"),
    )


def _parts(form: Form, name: str) -> list[str]:
    typed = form.text_or_blank(name, most=LIST_MOST)
    return [part for part in _BETWEEN.split(typed or "") if part]


def _plots(form: Form) -> tuple[str, ...]:
    parts = _parts(form, "plots")
    if any(part.casefold() not in LETTERS for part in parts):
        form.refuse("plots", sentence("Write letters out of A D G J M P T W, for example A, D."))
    return tuple(dict.fromkeys(part.upper() for part in parts))


def _doses(form: Form, name: str, plots: tuple[str, ...]) -> tuple[DoseRef, ...]:
    found: list[DoseRef] = []
    for part in _parts(form, name):
        written = _DOSE.fullmatch(part)
        if written is None or written[1].upper() not in plots:
            form.refuse(
                name,
                sentence("Write a letter of a plot above and a digit, for example A3, D2."),
            )
            continue
        found.append(DoseRef(plot=written[1].upper(), number=int(written[2])))
    return tuple(dict.fromkeys(found))


def _cans(form: Form) -> tuple[int, ...]:
    parts = _parts(form, "cans")
    if any(_CAN.fullmatch(part) is None for part in parts):
        form.refuse("cans", sentence("Write the numbers of the cans, for example 3, 4."))
        return ()
    return tuple(dict.fromkeys(map(int, parts)))
