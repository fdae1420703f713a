"""From a place's question and choices to screens that each fit the route. Pure."""

from collections.abc import Sequence

from service.ussd.facts import Facts, Fits, Line, Shown, line_of
from service.ussd.keys import BACK, LEAVE, MORE, MOST_CHOICES
from service.ussd.places import Card, Choice
from service.ussd.state import Place, State

_WRONG = line_of("wrong")
_TURNING = (
    line_of("more", {"n": int(MORE)}),
    line_of("back", {"n": int(BACK)}),
    line_of("exit", {"n": int(LEAVE)}),
)


def pages_of(card: Card, state: State, fits: Fits) -> tuple[tuple[Choice, ...], ...]:
    """Return the choices of each screen; each fits with the question, and with "type one of these".

    A place without choices has one screen.
    """
    pages: list[tuple[Choice, ...]] = []
    rest = card.choices
    while rest:
        count = min(len(rest), MOST_CHOICES)
        back = bool(state.trail or pages)
        while count > 1 and not _holds(card, rest, count, state, fits, back=back):
            count -= 1
        pages.append(rest[:count])
        rest = rest[count:]
    return tuple(pages) or ((),)


def list_screen(card: Card, state: State, facts: Facts) -> Shown:
    """Return the screen of the state's page; after a wrong input it says what to type."""
    pages = pages_of(card, state, facts.fits)
    page = min(state.page, len(pages) - 1)
    more, back = page < len(pages) - 1, bool(state.trail or page)
    bare = _lines((card.title,), pages[page], state, more=more, back=back)
    if state.wrong == 0:
        return Shown(lines=bare)
    both = _lines((_WRONG, card.title), pages[page], state, more=more, back=back)
    if facts.fits(both):
        return Shown(lines=both)
    if state.place is Place.CONFIRM:
        return Shown(lines=bare)  # nothing is confirmed without its question
    return Shown(lines=_lines((_WRONG,), pages[page], state, more=more, back=back))


def said_pages(texts: Sequence[str], fits: Fits) -> tuple[str, ...]:
    """Return answers cut between words into what each screen can hold; a whole one stays whole.

    Only the last screen, which ends the session, needs no room for keys.
    """
    pages: list[str] = []
    for place, text in enumerate(texts, start=1):
        below = () if place == len(texts) else _TURNING
        rest = text
        while rest and not fits((said_line(rest), *below)):
            kept = _most_words(rest, fits)
            pages.append(kept)
            rest = rest[len(kept) :].lstrip(" ")
        pages += [rest] if rest else []
    return tuple(pages)


def said_screen(state: State) -> Shown:
    """Return a page of an answer; the last one ends the session."""
    line = said_line(state.said[state.page])
    if state.page == len(state.said) - 1:
        return Shown(lines=(line,), finish=True)
    return Shown(lines=(line, *_controls(state, more=True, back=state.page > 0)))


def said_line(words: str) -> Line:
    """Return a piece of an answer as a line."""
    return line_of("said", {"words": words})


def _most_words(text: str, fits: Fits) -> str:
    ends = [at for at, letter in enumerate(text) if letter == " "] or list(range(1, len(text)))
    fitting = [end for end in ends if fits((said_line(text[:end]), *_TURNING))]
    return text[: max(fitting, default=ends[0])]


def _holds(  # noqa: PLR0913 -- the parts of one screen
    card: Card, rest: Sequence[Choice], count: int, state: State, fits: Fits, *, back: bool
) -> bool:
    more = count < len(rest)
    return all(
        fits(_lines((head,), rest[:count], state, more=more, back=back))
        for head in (card.title, _WRONG)
    )


def _lines(
    heads: Sequence[Line], choices: Sequence[Choice], state: State, *, more: bool, back: bool
) -> tuple[Line, ...]:
    numbered = (
        line_of("choice", {"n": number, "words": choice.line})
        for number, choice in enumerate(choices, start=1)
    )
    return (*heads, *numbered, *_controls(state, more=more, back=back))


def _controls(state: State, *, more: bool, back: bool) -> tuple[Line, ...]:
    found: list[Line] = []
    if more:
        found.append(line_of("more", {"n": int(MORE)}))
    if state.place is Place.RESUME:
        found.append(line_of("resume.anew", {"n": int(BACK)}))
    elif back:
        found.append(line_of("back", {"n": int(BACK)}))
    return (*found, line_of("exit", {"n": int(LEAVE)}))
