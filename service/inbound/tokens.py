"""A text cut into words and numbers, each with what stood before it."""

import unicodedata
from dataclasses import dataclass
from enum import StrEnum

from service.inbound.normalise import SIGN, look_alike, normalise

_JOINS = frozenset("/.,-:")  # between two digits these make one figure: a date, a decimal, a time


class Kind(StrEnum):
    """What a token is made of."""

    WORD = "word"
    NUMBER = "number"
    FIGURE = "figure"  # several numbers joined without a blank, such as 18/3 or 1.5
    SIGN = "sign"


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """One word, number, figure or sign; `gap` is what stood between it and the one before."""

    kind: Kind
    text: str
    gap: str


def tokenise(text: str) -> tuple[Token, ...]:
    """Return the tokens of a text as it came from the phone, in their order.

    Words are runs of letters with their vowel signs and inner apostrophes; a letter that stands
    alone is written in Latin if it looks like a Latin one. `A3no` gives three tokens.
    """
    return tuple(_join_figures(_runs(normalise(text))))


def words_of(text: str) -> tuple[str, ...]:
    """Return the token texts alone, the form in which word lists are compared."""
    return tuple(token.text for token in tokenise(text))


def asks(text: str) -> bool:
    """Say whether a text holds a question mark of any script."""
    return "?" in normalise(text)


def _runs(plain: str) -> list[Token]:
    found: list[Token] = []
    gap = run = ""
    run_kind: Kind | None = None
    for at, mark in enumerate(plain):
        kind = _kind_at(plain, at)
        if run and run_kind is not None and (kind is not run_kind or kind is Kind.SIGN):
            found.append(_token(run_kind, run, gap))
            gap = run = ""
        run_kind = kind
        if kind is None:
            gap += mark
        else:
            run += mark
    if run and run_kind is not None:
        found.append(_token(run_kind, run, gap))
    return found


def _token(kind: Kind, run: str, gap: str) -> Token:
    text = look_alike(run) if kind is Kind.WORD and len(run) == 1 else run
    return Token(kind=kind, text=text, gap=gap)


def _kind_at(plain: str, at: int) -> Kind | None:
    mark = plain[at]
    if mark in "0123456789":
        return Kind.NUMBER
    if mark == SIGN:
        return Kind.SIGN
    if mark == "&" or _is_letter(mark):
        return Kind.WORD
    if mark == "'" and 0 < at < len(plain) - 1 and _is_letter(plain[at - 1]):
        return Kind.WORD if _is_letter(plain[at + 1]) else None
    return None


def _is_letter(mark: str) -> bool:
    return unicodedata.category(mark)[0] in "LM"


def _join_figures(tokens: list[Token]) -> list[Token]:
    joined: list[Token] = []
    for token in tokens:
        before = joined[-1] if joined else None
        if before is not None and _continues(joined, token):
            joined[-1] = Token(
                kind=Kind.FIGURE, text=before.text + token.gap + token.text, gap=before.gap
            )
        else:
            joined.append(token)
    return joined


def _continues(joined: list[Token], token: Token) -> bool:
    """Say whether a number goes on the figure before it; `A3,2` is a code and a count instead."""
    before = joined[-1]
    if token.kind is not Kind.NUMBER or token.gap not in _JOINS:
        return False
    if before.kind is Kind.FIGURE:
        return True
    follows_letter = len(joined) > 1 and joined[-2].kind is Kind.WORD and not before.gap
    return before.kind is Kind.NUMBER and not follows_letter
