"""What a grower's text means: `A3` is done, `A3 NO` is not, `A UP`, `CAN 2`, `STOP` and the rest.

1. Nothing is guessed: what is not sure is NEEDS_READING, with a hint for the coordinator.
2. A machine is never answered; STOP is heard in every language and from every number.
3. The words are data (languages/*.toml); the codes are the same for everyone.
"""

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from service.inbound.fit import Standing, can_sealed, standing_of
from service.inbound.grammar import Said, said_in
from service.inbound.pieces import Ear
from service.inbound.screens import Caller, is_refusal, settle_early, stop_languages
from service.inbound.tokens import asks, tokenise, words_of

_ECHO_DAYS = 7  # a reminder is forwarded while it is news; common practice, no source


class Meaning(StrEnum):
    """What a text means; for the service to act on, answer, ignore or hand to a person."""

    DONE = "done"
    NOT_DONE = "not-done"
    AGAIN = "again"
    SOWN = "sown"
    UP = "up"
    SEALED = "sealed"
    HARVEST = "harvest"
    RAIN = "rain"
    STOP = "stop"
    START = "start"
    HELP = "help"
    JOIN = "join"
    WHY = "why"
    BURN = "burn"
    NEEDS_READING = "needs-reading"
    IGNORE = "ignore"
    DROP = "drop"
    CONSENT = "consent"
    NOTED = "noted"


class Question(StrEnum):
    """A yes-or-no question that the service asked this phone and that is still open."""

    EMERGENCE = "emergence"
    CONSENT = "consent"


class DateOrder(StrEnum):
    """Whether the phone writes the day or the month first."""

    DM = "dm"
    MD = "md"


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseRef:
    """A dose as growers name it: the plot's key letter and the number from 1 to 9."""

    plot: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SentText:
    """A text that went to this phone, by which a forwarded reminder is known."""

    text: str
    sent_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What the service knows of the phone, over all its households, when a text comes in.

    `open` are the doses due and not told, `done` those noted, `cans` the numbers being filled,
    `doses` the highest dose number of a planting. `sender` None is an ordinary phone number; a
    name or short code is a machine. `received_on` is the farm day.
    """

    language: str
    plots: tuple[str, ...]
    open: tuple[DoseRef, ...]
    done: tuple[DoseRef, ...]
    cans: tuple[int, ...]
    received_on: date
    doses: int = 7
    shared: bool = False
    unknown: bool = False
    sender: str | None = None
    question: Question | None = None
    question_plot: str | None = None
    date_order: DateOrder = DateOrder.DM
    sent: tuple[SentText, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing a text names: a plot, a dose of it or a can, and how many days ago it was."""

    plot: str | None = None
    dose: int | None = None
    can: int | None = None
    days_ago: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A text's meaning; `hint` tells the coordinator in plain English why it must be read."""

    meaning: Meaning
    items: tuple[Item, ...] = ()
    hint: str = ""


def read_reply(text: str, context: Context) -> Reading:
    """Return what a text from a phone means.

    Any text is accepted. DONE and NOT_DONE name open doses only, AGAIN those already noted; days
    are 0 to 14, and whether a late report may be taken is for the caller.
    """
    tokens = tokenise(text)
    ear = Ear(
        language=context.language,
        letters=frozenset(plot.casefold() for plot in context.plots),
        received_on=context.received_on,
        order=context.date_order,
    )
    ages = [(sent.text, (context.received_on - sent.sent_on).days) for sent in context.sent]
    lately = tuple(sent for sent, days in ages if 0 <= days <= _ECHO_DAYS)
    caller = Caller(ear=ear, sender=context.sender, unknown=context.unknown, sent=lately)
    early = settle_early(tokens, caller)
    if early is not None:
        return Reading(meaning=Meaning(early[0]), hint=early[1])
    said = said_in(tokens, ear)
    if said.fault:
        return _to_read(said.fault)
    if asks(text) and said.act not in {"why", "thanks"}:
        return _to_read("question")  # "A3?" asks; nothing is reported by it
    return _reading_of(said, context)


def holds_stop_or_refusal(text: str) -> bool:
    """Say whether a text to be read pauses all texts to its phone until a person has read it.

    STOP words and words of refusal count in every language, wherever they stand.
    """
    words = words_of(text)
    return bool(stop_languages(words)) or is_refusal(words)


def _to_read(hint: str) -> Reading:
    return Reading(meaning=Meaning.NEEDS_READING, hint=hint)


def _reading_of(said: Said, context: Context) -> Reading:
    if said.act == "thanks":
        return Reading(meaning=Meaning.IGNORE, hint="thanks")
    if said.act == "can":
        can = can_sealed(said, context.cans)
        if isinstance(can, str):
            return _to_read(can)
        return Reading(meaning=Meaning.SEALED, items=(Item(can=can, days_ago=said.days_ago),))
    if said.act in {"yes", "done", "no"}:
        return _doses(said, context) if said.codes else _bare_answer(said, context)
    return _plot_act(said, context)


def _plot_act(said: Said, context: Context) -> Reading:
    plot, dose = said.plot, None
    if said.codes:  # only WHY may name a dose
        ((plot, dose),) = said.codes
        if not 1 <= dose <= context.doses:
            return _to_read("dose number")
    if plot is None and said.act == "up" and _asks_emergence(context):
        plot = context.question_plot
    if plot is None:
        return _to_read("plot?")
    item = Item(plot=plot.upper(), dose=dose, days_ago=said.days_ago)
    return Reading(meaning=Meaning(said.act), items=(item,))


def _doses(said: Said, context: Context) -> Reading:
    standing, why = standing_of(
        said.codes,
        open_codes={(dose.plot.casefold(), dose.number) for dose in context.open},
        done_codes={(dose.plot.casefold(), dose.number) for dose in context.done},
        highest=context.doses,
    )
    if said.by_keys and standing is not Standing.OPEN:
        return _to_read("digits")  # any two digits look like a code
    if standing is Standing.UNFIT:
        return _to_read(why)
    meaning = Meaning.DONE if standing is Standing.OPEN else Meaning.AGAIN
    if said.act == "no":
        if standing is Standing.DONE:
            return _to_read("noted as done")
        meaning = Meaning.NOT_DONE
    items = (Item(plot=p.upper(), dose=n, days_ago=said.days_ago) for p, n in said.codes)
    return Reading(meaning=meaning, items=tuple(items))


def _asks_emergence(context: Context) -> bool:
    return context.question is Question.EMERGENCE and not context.shared


def _bare_answer(said: Said, context: Context) -> Reading:
    if context.question is not None:
        return _answer_to_question(said, context)
    if len(context.open) != 1:
        return _to_read("who?" if context.shared else "which job?")
    dose = context.open[0]
    meaning = Meaning.NOT_DONE if said.act == "no" else Meaning.DONE
    item = Item(plot=dose.plot, dose=dose.number, days_ago=said.days_ago)
    return Reading(meaning=meaning, items=(item,))


def _answer_to_question(said: Said, context: Context) -> Reading:
    if context.shared:
        return _to_read("who?")
    if said.act == "no":
        return Reading(meaning=Meaning.NOTED, items=(Item(plot=context.question_plot),), hint="no")
    if said.act == "done":  # "ok" and "ready" answer neither question clearly
        return _to_read("which question?")
    if context.question is Question.CONSENT:
        dated = bool(said.days_ago)
        return _to_read("date") if dated else Reading(meaning=Meaning.CONSENT)
    return _plot_act(replace(said, act="up"), context)
