"""What a text says, apart from whether it fits the grower's plots and doses.

Every piece must have a meaning and the pieces must agree; otherwise the text has a fault and goes
to a person. A wrong "done" hides a missed dose or breaks a harvest date, an unread text costs a
minute.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from service.inbound.codes import Code, codes_by_keys
from service.inbound.pieces import Ear, Piece, can_label, pieces_of
from service.inbound.tokens import Kind, Token, asks, tokenise
from service.inbound.words import ACTS, ANSWERS

_ACTS = frozenset(ACTS)
_NO_MEANING = frozenset({"unknown", "ordinary", "not"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a text says; if `fault` is not empty it must be read, and nothing else counts.

    `act` is a keyword's act, one of yes, done and no, or thanks. Letters are lower case.
    `bare_count` says that the days are a number alone, `by_keys` that the codes are.
    """

    act: str = ""
    codes: tuple[Code, ...] = ()
    plot: str | None = None
    can: int | None = None
    days_ago: int = 0
    bare_count: bool = False
    by_keys: bool = False
    fault: str = ""


def said_in(tokens: Sequence[Token], ear: Ear) -> Said:
    """Return what a text says to this ear, or its fault in a few plain words."""
    if not tokens:
        return Said(fault="empty")
    if all(token.kind is Kind.NUMBER for token in tokens):
        by_keys = codes_by_keys(tokens, ear.letters)
        if by_keys is None:
            return Said(fault="digits")
        return Said(act="done", codes=by_keys[0], days_ago=by_keys[1], by_keys=True)
    pieces = pieces_of(tokens, ear)
    fault = _fault_of(pieces, ear)
    return Said(fault=fault) if fault else _sense_of(pieces)


def says_only_no(text: str, language: str) -> bool:
    """Say whether a text is a bare denial, by which a grower withdraws what was just noted."""
    ear = Ear(language=language, letters=frozenset(), received_on=date.min, order="dm")
    said = said_in(tokenise(text), ear)
    return not said.fault and said.act == "no" and not asks(text)


def _sense_of(pieces: Sequence[Piece]) -> Said:
    roles = {piece.role for piece in pieces}
    days = [piece for piece in pieces if piece.role in {"days", "bare"}]
    letters = [piece.letter for piece in pieces if piece.role == "letter"]
    cans = [piece for piece in pieces if piece.role == "can"]
    return Said(
        act=_act_of(roles),
        codes=_codes_in(pieces),
        plot=letters[0] if letters else None,
        can=can_label(cans[0]) if cans else None,
        days_ago=days[0].value if days else 0,
        bare_count="bare" in roles,
    )


def _act_of(roles: set[str]) -> str:
    acts = roles & _ACTS
    if acts:
        return min(acts)
    if "code" in roles:
        return "no" if "no" in roles else "done"
    answers = [answer for answer in ("no", "done", "yes") if answer in roles]
    return answers[0] if answers else "thanks"


def _codes_in(pieces: Sequence[Piece]) -> tuple[Code, ...]:
    return tuple(
        dict.fromkeys((piece.letter, piece.value) for piece in pieces if piece.role == "code")
    )


def _fault_of(pieces: Sequence[Piece], ear: Ear) -> str:
    """Return why a person must read the text, the most telling reason first, or nothing."""
    roles = {piece.role for piece in pieces}
    return (
        _fault_of_words(roles)
        or _fault_of_acts(roles, pieces)
        or _fault_of_places(roles, pieces, ear)
        or _fault_of_days(roles, pieces)
    )


def _first(faults: Sequence[tuple[str, bool]]) -> str:
    return next((fault for fault, holds in faults if holds), "")


def _fault_of_words(roles: set[str]) -> str:
    return _first([
        ("stop?", "stop" in roles),
        ("quantity", "unit" in roles),
        ("future", "later" in roles),
        ("refusal?", "refusal" in roles),
        ("can", "can" in roles and bool(roles & (_NO_MEANING | {"code", "letter"} | {*ANSWERS}))),
        ("help?", "help" in roles),
        ("join?", "join" in roles),
        ("start?", "start" in roles),
    ])  # fmt: skip


def _fault_of_acts(roles: set[str], pieces: Sequence[Piece]) -> str:
    acts = roles & _ACTS
    against = roles & {"no", "not", "done"}
    return _first([
        ("mixed", len(acts) > 1),
        ("mixed", bool(acts) and bool(against)),
        ("mixed", bool(acts - {"why"}) and "code" in roles),
        ("which can?", sum(piece.role == "can" for piece in pieces) > 1),
        ("words", bool(roles & (_NO_MEANING | {"sign"})) and not _is_merged(roles)),
        ("can?", "sealed" in roles and "can" not in roles),
    ])  # fmt: skip


def _is_merged(roles: set[str]) -> bool:
    return {"code", "letter"} <= roles


def _fault_of_places(roles: set[str], pieces: Sequence[Piece], ear: Ear) -> str:
    codes = _codes_in(pieces)
    letters = {piece.letter for piece in pieces if piece.role == "letter"}
    saying = roles & (_ACTS | {*ANSWERS, "code", "thanks"})
    return _first([
        ("merged", _is_merged(roles)),
        ("letter", any(letter not in ear.letters for letter, _ in codes)),
        ("which plot?", len(letters) > 1),
        ("one code", "why" in roles and len(codes) > 1),
        ("which job?", bool(letters) and not roles & _ACTS),
        ("digits", not saying and "stray" in roles),
        ("date only", not saying and bool(roles & {"days", "bad date"})),
        ("words", not saying),
        ("negation", "no" in roles and len(codes) > 1),
        ("mixed", "no" in roles and bool(roles & {"yes", "done"})),
    ])  # fmt: skip


def _fault_of_days(roles: set[str], pieces: Sequence[Piece]) -> str:
    dated = [piece for piece in pieces if piece.role in {"days", "bare"}]
    answered = roles & {*ANSWERS, "code"} or roles & _ACTS
    return _first([
        ("date", "bad date" in roles or len(dated) > 1),
        ("digits", "stray" in roles),
        ("negation", "no" in roles and bool(dated)),
        ("date", len(_codes_in(pieces)) > 1 and bool(dated)),
        ("date", "why" in roles and bool(dated)),
        ("date", "rain" in roles and any(piece.value for piece in dated)),
        ("date only", not answered and bool(dated)),
    ])  # fmt: skip
