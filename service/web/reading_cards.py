"""The reading list as it is shown: a card a text, those that pause a phone first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from service.inbound.choices import choice_of
from service.inbound.settling import pauses, settlings
from service.inbound.waiting_texts import WaitingText
from service.messages.phone import masked_number
from service.planning.drafts import language_of
from service.records.people import HouseholdRow
from service.records.traffic import InboundRow
from service.web.form import Form
from service.web.reading_words import SETTLINGS, Days, reading_words, why_words
from service.web.sentence import Sentence

Choice = tuple[str, Sentence]
Writer = tuple[int, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDose:
    """A dose that was open when the text came."""

    code: str
    due_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One text, with what may be read in it and decided about it."""

    text_id: int
    text: str
    language: str
    at: datetime
    sender: str
    homes: tuple[HouseholdRow, ...]
    pauses: bool
    why: Sentence
    doses: tuple[OpenDose, ...]
    readings: tuple[Choice, ...]
    settlings: tuple[Choice, ...]
    form: Form
    writer: Writer  # texts of one stand together under a heading


def in_order(rows: Sequence[InboundRow]) -> list[InboundRow]:
    """Return texts phone by phone, the oldest first; first the phones that wait for a decision."""
    pausing = {_writer(row) for row in rows if row.pauses}
    since: dict[Writer, tuple[datetime, int]] = {}
    for row in rows:
        since.setdefault(_writer(row), (row.received_at, row.id))
    return sorted(
        rows,
        key=lambda row: (
            _writer(row) not in pausing,
            since[_writer(row)],
            row.received_at,
            row.id,
        ),
    )


def cards_of(texts: Sequence[WaitingText], *, today: date, forms: Mapping[int, Form]) -> list[Card]:
    """Return the cards of a page; `forms` holds a form for each text by its id."""
    return [_card(text, today=today, form=forms[text.row.id]) for text in texts]


def choices_of(text: WaitingText) -> tuple[str, ...]:
    """Return what may be chosen for a text."""
    return (*map(choice_of, text.readings), *(each.value for each in settlings(text)))


def _writer(row: InboundRow) -> Writer:
    return row.phone_id or 0, "" if row.phone_id else row.sender


def _card(text: WaitingText, *, today: date, form: Form) -> Card:
    context, phone = text.situation.context, text.phone
    days = Days(came_on=context.received_on, today=today)
    due = {
        (letter, dose.number): dose.due_on
        for letter, bundle in text.situation.plantings.items()
        for dose in bundle.doses
    }
    return Card(
        text_id=text.row.id,
        text=text.row.text,
        language=context.language if phone is None else language_of(phone),
        at=text.row.received_at,
        sender=masked_number(text.row.sender),
        homes=() if phone is None else phone.households,
        pauses=pauses(text),
        why=why_words(text.row.hint),
        doses=tuple(
            OpenDose(code=f"{dose.plot}{dose.number}", due_on=due[dose.plot, dose.number])
            for dose in context.open
        ),
        readings=tuple(
            (choice_of(reading), reading_words(reading, days)) for reading in text.readings
        ),
        settlings=tuple((each.value, SETTLINGS[each]) for each in settlings(text)),
        form=form,
        writer=_writer(text.row),
    )
