"""Texts and answers of a household by day: as sent, as read, and what came of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from service.inbound.reply_codes import Meaning
from service.messages.lifecycle import State
from service.planning.send_window import local_day
from service.records.household_talk import CameText, SentText, TextNote
from service.records.traffic import InboundRow, MessageRow
from service.web.household_notes import brought, codes_in, note_words
from service.web.household_words import KIND_WORDS, sent_mark, sent_words
from service.web.reading_words import Days, decided_words
from service.web.sentence import Sentence, sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class SentLine:
    """A text to the phone; `body` is blank where it was never written."""

    at: datetime
    kind: Sentence
    state: Sentence
    mark: str
    body: str
    language: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CameLine:
    """A text from the phone, what it was read as, and what that brought into the records."""

    at: datetime
    body: str
    meaning: Sentence
    notes: tuple[Sentence, ...]
    waits: bool  # for a person to read it
    read_by: str | None
    read_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """The zone that days are counted in, and the day it is there."""

    zone: ZoneInfo
    today: date


@dataclass(frozen=True, slots=True, kw_only=True)
class TalkDay:
    """The texts of one farm day, newest first."""

    on: date
    lines: tuple[SentLine | CameLine, ...]


def talk_days(
    texts: Sequence[SentText | CameText],
    notes: Sequence[TextNote],
    *,
    hours: Hours,
    preview: Callable[[MessageRow], str],
) -> list[TalkDay]:
    """Return texts, which stand newest first, by day; `preview` writes one still in the queue."""
    return [
        TalkDay(
            on=on,
            lines=tuple(
                _sent(text, preview)
                if isinstance(text, SentText)
                else _came(text.row, notes, Days(came_on=on, today=hours.today))
                for text in group
            ),
        )
        for on, group in groupby(texts, key=lambda text: local_day(text.at, hours.zone))
    ]


def _sent(text: SentText, preview: Callable[[MessageRow], str]) -> SentLine:
    row = text.row
    body = row.body or (preview(row) if row.state is State.QUEUED else "")
    return SentLine(
        at=text.left_at or text.at,
        kind=KIND_WORDS[row.kind],
        state=sent_words(row.state),
        mark=sent_mark(row.state),
        body=body,
        language=row.language,
    )


def _came(row: InboundRow, notes: Sequence[TextNote], days: Days) -> CameLine:
    return CameLine(
        at=row.received_at,
        body=row.text,
        meaning=_meaning(row, days),
        notes=tuple(note_words(note) for note in notes if brought(row, note)),
        waits=row.to_read and row.read_at is None,
        read_by=row.read_by,
        read_at=row.read_at,
    )


def _meaning(row: InboundRow, days: Days) -> Sentence:
    if row.read_at is not None:
        return decided_words(row.read_as, days)
    if row.to_read:
        return sentence("not sure, so a person reads it")
    meaning = meaning_words(Meaning(row.meaning))
    codes = ", ".join(letter + number for letter, number in codes_in(row))
    if not codes:
        return meaning
    return sentence("%(meaning)s (%(codes)s)", meaning=meaning, codes=codes)


def meaning_words(meaning: Meaning) -> Sentence:  # noqa: C901, PLR0911, PLR0912 -- one line a meaning
    """Return what a text was read as."""
    match meaning:
        case Meaning.DONE:
            return sentence("done")
        case Meaning.AGAIN:
            return sentence("done, told again")
        case Meaning.NOT_DONE:
            return sentence("not done")
        case Meaning.SOWN:
            return sentence("sown")
        case Meaning.UP:
            return sentence("the plants are up")
        case Meaning.SEALED:
            return sentence("can sealed")
        case Meaning.HARVEST:
            return sentence("harvested")
        case Meaning.RAIN:
            return sentence("heavy rain")
        case Meaning.BURN:
            return sentence("leaves burnt")
        case Meaning.STOP:
            return sentence("wants no more texts")
        case Meaning.START | Meaning.CONSENT:
            return sentence("yes to texts")
        case Meaning.HELP:
            return sentence("asks for help")
        case Meaning.WHY:
            return sentence("asks why")
        case Meaning.JOIN:
            return sentence("wants to join")
        case Meaning.NOTED:
            return sentence("not yet")
        case Meaning.NEEDS_READING:
            return sentence("not sure, so a person reads it")
        case Meaning.IGNORE | Meaning.DROP:
            return sentence("nothing to do")
