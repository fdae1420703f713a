"""What a text that must be read may mean: readings for a person to choose from. Pure.

1. Each is one that the parser itself has for a short code, such as `A3 NO` or `A UP`.
2. What the situation refuses is never offered; the caller says what that is.
3. What only asks, such as HELP or WHY, is for a call.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from service.inbound.codes import LETTER_OF_KEY
from service.inbound.pieces import Ear, can_label, pieces_of
from service.inbound.reply_codes import (
    Context,
    DoseRef,
    Item,
    Meaning,
    Question,
    Reading,
    read_reply,
)
from service.inbound.tokens import Kind, Token, tokenise
from service.inbound.words import ANSWERS

MOST = 7  # more buttons than that are not read but searched
MOST_TOGETHER = 4  # doses in one reading; what was chosen is kept in 40 characters
_KEYPAD = ("abc", "def", "ghi", "jkl", "mno", "pqrs", "tuv", "wxyz")
_FIRST_ON_KEY = {letter: key[0] for key in _KEYPAD for letter in key}
_PLOT_ACTS = (Meaning.HARVEST, Meaning.BURN, Meaning.RAIN, Meaning.UP, Meaning.SOWN)
_UNDATED = frozenset({Meaning.RAIN, Meaning.BURN})
_DENIED = frozenset({"no", "not"})
_OTHER_NEWS = frozenset({"can", "stop", "refusal", *(act.value for act in _PLOT_ACTS)})

Refuses = Callable[[Reading], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heard:
    """What a text holds, whether or not it makes sense; letters are upper case."""

    roles: frozenset[str]
    codes: tuple[DoseRef, ...]
    letters: tuple[str, ...]
    cans: tuple[int, ...]
    days: tuple[int, ...]  # ago, the likeliest first; 0 is always among them


def nothing_refused(_reading: Reading) -> bool:
    """Refuse no reading."""
    return False


def possible_readings(
    text: str, context: Context, *, refuses: Refuses = nothing_refused
) -> tuple[Reading, ...]:
    """Return what a text may mean to this phone, the likeliest first, at most seven.

    A letter that lies on the key of an owned one, as B on A's, is taken for that one here, since
    a person decides.
    """
    heard = _heard(text, context)
    found: list[Reading] = []
    for reading in _candidates(heard, context):
        known = reading in found or refuses(reading)
        if not known and _parser_has(reading, context):
            found.append(reading)
    return tuple(found[:MOST])


def _heard(text: str, context: Context) -> _Heard:
    tokens = tokenise(text)
    letters = frozenset(plot.casefold() for plot in context.plots)
    ear = Ear(
        language=context.language,
        letters=letters,
        received_on=context.received_on,
        order=context.date_order,
    )
    pieces = pieces_of(tokens, ear)
    named = [(piece.letter, piece.value) for piece in pieces if piece.role == "code"]
    owned = [
        (letter if letter in letters else _FIRST_ON_KEY.get(letter, letter), number)
        for letter, number in (*named, *_by_keys(tokens))
    ]
    dated = [piece.value for piece in pieces if piece.role in {"days", "bare"}]
    labels = [can_label(piece) for piece in pieces if piece.role == "can"]
    roles = frozenset(piece.role for piece in pieces)
    return _Heard(
        roles=roles,
        codes=tuple(
            dict.fromkeys(
                DoseRef(plot=letter.upper(), number=number)
                for letter, number in owned
                if letter in letters
            )
        ),
        letters=tuple(
            dict.fromkeys(piece.letter.upper() for piece in pieces if piece.role == "letter")
        ),
        cans=tuple(label for label in labels if label is not None),
        # beside a word like litres a number rather counts those
        days=tuple(dict.fromkeys((0, *dated) if "unit" in roles else (*dated, 0))),
    )


def _by_keys(tokens: Sequence[Token]) -> Iterator[tuple[str, int]]:
    """Yield the codes that digits may stand for: `23` and `2 3` are both the third of plot A."""
    if any(token.kind is not Kind.NUMBER for token in tokens):
        return
    digits = "".join(token.text for token in tokens)
    whole = [token.text[:2] for token in tokens if len(token.text) > 1] or [digits[:2]]
    for pair in whole:
        letter = LETTER_OF_KEY.get(pair[:1])
        if letter is not None and len(pair) > 1:
            yield letter, int(pair[1])


def _candidates(heard: _Heard, context: Context) -> Iterator[Reading]:
    agrees = bool(heard.roles & {"yes", "start"}) and not heard.roles & _DENIED
    if agrees and context.question is Question.CONSENT:
        yield Reading(meaning=Meaning.CONSENT)
    yield from _plot_acts(heard, context)
    if heard.roles & {"can", "sealed"}:
        named = [can for can in heard.cans if can in context.cans]
        for can in named or context.cans:
            for days in heard.days:
                yield Reading(meaning=Meaning.SEALED, items=(Item(can=can, days_ago=days),))
    yield from _doses(heard, context)


def _plot_acts(heard: _Heard, context: Context) -> Iterator[Reading]:
    plots = heard.letters or tuple(dict.fromkeys(code.plot for code in heard.codes))
    asked = (context.question_plot,) if context.question_plot else ()
    for act in _PLOT_ACTS:
        confirmed = act is Meaning.UP and "yes" in heard.roles
        if act.value in heard.roles:
            meant = plots or context.plots
        elif confirmed and context.question is Question.EMERGENCE:
            meant = asked or context.plots
        else:
            continue
        for plot in meant:
            for days in (0,) if act in _UNDATED else heard.days:
                yield Reading(meaning=act, items=(Item(plot=plot, days_ago=days),))


def _doses(heard: _Heard, context: Context) -> Iterator[Reading]:
    if heard.roles & _OTHER_NEWS and not heard.codes and not heard.roles & {*ANSWERS}:
        return
    named = [code for code in heard.codes if code in context.open]
    plots = {*heard.letters, *(code.plot for code in heard.codes if code not in named)}
    beside = [dose for dose in context.open if dose.plot in plots and dose not in named]
    meant = [*named, *beside] or list(context.open)
    order = [Meaning.DONE, Meaning.NOT_DONE]
    if heard.roles & _DENIED:
        order.reverse()
    for meaning in order:
        for days in heard.days if meaning is Meaning.DONE else (0,):
            yield from _together(meaning, named, days)
            for dose in meant:
                yield _of_doses(meaning, [dose], days)
            yield from _together(meaning, meant, days)
    for code in heard.codes:
        if code in context.done:
            yield _of_doses(Meaning.AGAIN, [code], heard.days[0])


def _together(meaning: Meaning, doses: Sequence[DoseRef], days: int) -> Iterator[Reading]:
    # one dose of a plot moves the next, so two on one day are for a call
    plots = {dose.plot for dose in doses}
    if 1 < len(doses) <= MOST_TOGETHER and len(plots) == len(doses):
        yield _of_doses(meaning, doses, days)


def _of_doses(meaning: Meaning, doses: Sequence[DoseRef], days: int) -> Reading:
    return Reading(
        meaning=meaning,
        items=tuple(Item(plot=dose.plot, dose=dose.number, days_ago=days) for dose in doses),
    )


def _parser_has(reading: Reading, context: Context) -> bool:
    plain = replace(
        context,
        language="en",  # the codes below are English, which every phone may write
        question=Question.CONSENT if reading.meaning is Meaning.CONSENT else None,
        question_plot=None,
        shared=False,
        unknown=False,
        sender=None,
        sent=(),
    )
    parts = [replace(reading, items=(item,)) for item in reading.items] or [reading]
    return all(read_reply(written(part), plain) == part for part in parts)


def written(reading: Reading) -> str:
    """Return the short text by which a grower would surely say this one thing."""
    if not reading.items:
        return "YES"
    item = reading.items[0]
    ago = f"{item.days_ago} days ago"
    match reading.meaning:
        case Meaning.DONE | Meaning.AGAIN:
            return f"{item.plot}{item.dose} {ago}"
        case Meaning.NOT_DONE:
            return f"{item.plot}{item.dose} NO"
        case Meaning.SEALED:
            return f"CAN {item.can} {ago}"
        case Meaning.RAIN | Meaning.BURN:
            return f"{item.plot} {reading.meaning.value}"
        case _:
            return f"{item.plot} {reading.meaning.value} {ago}"
