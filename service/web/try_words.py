"""What the service would answer to a text that is tried."""

from collections.abc import Mapping
from dataclasses import dataclass
from string import Template

from service.inbound.reply_codes import Item, Meaning, Reading
from service.messages.catalogue import Catalogue
from service.records.people import AssociationRow

# the usual answer; the records may ask for another, such as a warning
ANSWERS: Mapping[Meaning, str] = {
    Meaning.DONE: "r_done",
    Meaning.NOT_DONE: "r_notdone",
    Meaning.AGAIN: "r_again",
    Meaning.SOWN: "r_sown",
    Meaning.UP: "r_up",
    Meaning.SEALED: "sealed",
    Meaning.HARVEST: "r_harvest",
    Meaning.RAIN: "r_rain",
    Meaning.BURN: "r_burn",
    Meaning.WHY: "r_why",
    Meaning.STOP: "stop_ok",
    Meaning.START: "welcome",
    Meaning.CONSENT: "welcome",
    Meaning.HELP: "help",
    Meaning.JOIN: "unread",
    Meaning.NEEDS_READING: "unread",
}
UNKNOWN = "…"  # a day, an amount or a name that only the records know


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """An answer's text and the language that it is in."""

    text: str
    language: str


def answers_of(
    reading: Reading, *, catalogue: Catalogue, association: AssociationRow, language: str
) -> list[Answer]:
    """Return the usual answers to a reading, one an item, with `…` for what is not known here."""
    kind = ANSWERS.get(reading.meaning)
    if kind is None:
        return []
    texts = catalogue.language_for(kind, language=language, fallback=association.language)
    return [
        Answer(text=_filled(texts.texts[kind], association, item), language=texts.code)
        for item in reading.items or (Item(),)
    ]


def _filled(text: str, association: AssociationRow, item: Item) -> str:
    known = {
        "group": association.name,
        "phone": association.phone,
        "plot": item.plot,
        "code": f"{item.plot}{item.dose}" if item.plot and item.dose else None,
        "n": None if item.can is None else str(item.can),
    }
    template = Template(text)
    return template.substitute({
        name: known.get(name) or UNKNOWN for name in template.get_identifiers()
    })  # fmt: skip
