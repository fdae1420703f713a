"""Words for texts to be read: why a person must, what they may mean, what was decided."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.inbound.choices import reading_of
from service.inbound.reply_codes import Item, Meaning, Reading
from service.inbound.settling import Settling
from service.web.hints import HINTS
from service.web.sentence import Sentence, sentence

_WHICH_DOSE = sentence("It does not say which dose, and several may be meant.")
_NUMBERS = sentence("The numbers in it are not clear: a dose, days or litres?")
_DATE = sentence("The day in it is not clear, or is more than 14 days back.")

WHY: Mapping[str, Sentence] = {
    "can": sentence("It speaks of a can, but not only that it was sealed."),
    "can number": sentence("No can that is being filled has this number."),
    "can?": sentence("It says that something was sealed, but names no can."),
    "date": _DATE,
    "date only": sentence("It holds a day, but not what was done."),
    "digits": _NUMBERS,
    "dose 0": sentence("There is no dose 0: a letter O or a slip of the thumb?"),
    "dose number": sentence("The plan has no dose with this number."),
    "echo": sentence("It is one of our own texts, sent back."),
    "empty": sentence("It holds no words: only signs or a picture."),
    "future": sentence("It speaks of a later day: perhaps nothing is done yet."),
    "help?": sentence("It may ask for help."),
    "join": sentence("Somebody wants to join, from a phone that is enrolled."),
    "join?": sentence("Somebody may want to join."),
    "letter": sentence("This phone has no plot with this letter."),
    "machine?": sentence("It looks like a machine's text, but names a code or STOP."),
    "merged": sentence("It names a dose of one plot and another plot."),
    "mixed": sentence("It says two things that do not go together."),
    "negation": sentence("It says no, but not clearly to what."),
    "no spoken yes on record": sentence(
        "It asks for texts, but no spoken yes is on record: ask the household first."
    ),
    "not due": sentence("It names a dose that is not due."),
    "noted as done": sentence("It says that a dose noted as done is not done."),
    "one code": sentence("It asks about more than one dose."),
    "partly noted": sentence("Some of the doses in it are noted as done, some are not."),
    "plot?": sentence("It does not say which plot."),
    "quantity": sentence("It holds an amount: all of the dose, or a part?"),
    "question": sentence("It asks a question."),
    "refusal?": sentence("It may be a refusal."),
    "start?": sentence("It may ask for texts to start."),
    "stop+code": sentence("It says stop, and names a dose."),
    "stop?": sentence("It may ask for texts to stop."),
    "unknown sender": sentence("Nobody is enrolled with this number."),
    "which can?": sentence("It does not say which can."),
    "which job?": _WHICH_DOSE,
    "which plot?": sentence("It names more than one plot."),
    "which question?": sentence("It may answer our question, or tell of a dose."),
    "who?": sentence("Several homes share this phone: which of them is meant?"),
    "words": sentence("It holds words that the service does not know."),
}
"""By the parser's hint. Those of a report that cannot be right stand in `hints`."""
UNCLEAR = sentence("It is not sure what it means.")

SETTLINGS: Mapping[Settling, Sentence] = {
    Settling.CALL: sentence("Needs a call"),
    Settling.NOTHING: sentence("Nothing to do"),
    Settling.GO_ON: sentence("Go on with texts"),
    Settling.STOP: sentence("Stop all texts to this phone"),
    Settling.ENROL: sentence("Enrol this number"),
    Settling.NOT_FOR_US: sentence("Not for us"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The day on which a text came, and the day on which it is read."""

    came_on: date
    today: date


def why_words(hint: str) -> Sentence:
    """Return why a person must read a text."""
    return WHY.get(hint) or HINTS.get(hint, UNCLEAR)


def decided_words(read_as: str | None, days: Days) -> Sentence:
    """Return what was decided about a text, from what is kept with it."""
    if read_as is None:
        return SETTLINGS[Settling.NOTHING]
    if read_as in set(Settling):
        return SETTLINGS[Settling(read_as)]
    reading = reading_of(read_as)
    return UNCLEAR if reading is None else reading_words(reading, days)


def reading_words(reading: Reading, days: Days) -> Sentence:
    """Return what a text means, or may mean; days are told from today."""
    if reading.items and all(item.dose is not None for item in reading.items):
        told = _doses_words(reading, days)
        if told is not None:
            return told
    if reading.items:
        return _item_words(reading.meaning, reading.items[0], days)
    return _bare_words(reading.meaning)


def _doses_words(reading: Reading, days: Days) -> Sentence | None:
    codes = ", ".join(f"{item.plot}{item.dose}" for item in reading.items)
    when = _when(reading.items[0], days)
    several = len(reading.items) > 1
    match reading.meaning:
        case Meaning.DONE if several:
            return sentence("%(codes)s were done %(when)s", codes=codes, when=when)
        case Meaning.DONE:
            return sentence("%(code)s was done %(when)s", code=codes, when=when)
        case Meaning.NOT_DONE if several:
            return sentence("%(codes)s are not done", codes=codes)
        case Meaning.NOT_DONE:
            return sentence("%(code)s is not done", code=codes)
        case Meaning.AGAIN:
            return sentence("%(codes)s: done, as noted before", codes=codes)
        case _:
            return None


def _item_words(meaning: Meaning, item: Item, days: Days) -> Sentence:  # noqa: PLR0911 -- one line a meaning
    plot, when = item.plot or "", _when(item, days)
    match meaning:
        case Meaning.SOWN:
            return sentence("Plot %(plot)s was sown or planted out %(when)s", plot=plot, when=when)
        case Meaning.UP:
            return sentence("Most plants on plot %(plot)s were up %(when)s", plot=plot, when=when)
        case Meaning.HARVEST:
            return sentence("Plot %(plot)s was harvested %(when)s", plot=plot, when=when)
        case Meaning.RAIN:
            return sentence("Heavy rain on plot %(plot)s: its dose waits two days", plot=plot)
        case Meaning.BURN:
            return sentence("Leaves are burnt on plot %(plot)s", plot=plot)
        case Meaning.SEALED:
            return sentence("Can %(can)s was sealed %(when)s", can=item.can or 0, when=when)
        case Meaning.WHY:
            return sentence("They ask why plot %(plot)s has its days as it has", plot=plot)
        case _:
            return _bare_words(meaning)


def _bare_words(meaning: Meaning) -> Sentence:  # noqa: C901, PLR0911 -- one line a meaning
    match meaning:
        case Meaning.CONSENT:
            return sentence("Yes to getting texts")
        case Meaning.STOP:
            return sentence("All texts to this phone stop at once")
        case Meaning.START:
            return sentence("Texts to this phone start")
        case Meaning.HELP:
            return sentence("They ask for help")
        case Meaning.JOIN:
            return sentence("They want to join")
        case Meaning.IGNORE:
            return sentence("Only thanks: nothing happens")
        case Meaning.DROP:
            return sentence("A machine wrote it: nothing happens")
        case Meaning.NOTED:
            return sentence("No to our question: nothing happens, the question stays open")
        case Meaning.NEEDS_READING:
            return sentence("Not sure: a person must read it")
        case (
            Meaning.DONE
            | Meaning.NOT_DONE
            | Meaning.AGAIN
            | Meaning.SOWN
            | Meaning.UP
            | Meaning.SEALED
            | Meaning.HARVEST
            | Meaning.RAIN
            | Meaning.WHY
            | Meaning.BURN
        ):
            return UNCLEAR


def _when(item: Item, days: Days) -> Sentence:
    on = add_days(days.came_on, -item.days_ago)
    match days_between(on, days.today):
        case 0:
            return sentence("today")
        case 1:
            return sentence("yesterday")
        case _:
            return sentence("on %(day)s", day=on)
