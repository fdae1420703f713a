"""A text's tokens with their roles: which are codes, keywords, days, and which nobody knows.

Roles are those of the word lists, and: code, letter, days (so many days ago, sure), bare (a count
that must mean days), stray (a number without a place), bad date, sign, unknown.
"""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date

from service.inbound.codes import DIGIT_LIKE, code_at, look_alike_code, value_of
from service.inbound.dates import LONGEST_DAYS_AGO, figure_days_ago, weekday_days_ago
from service.inbound.tokens import Kind, Token
from service.inbound.words import Entry, lexicon

_NO_LABEL = -1
_COUNTS = frozenset({"number", "count"})
_DAY_WORDS = frozenset({"day", "ago"})
# A bare count of days follows one of these: `A3 2`, `A UP 2`, `CAN 3 2`, `A3 done 2`.
_COUNTABLE = frozenset({"code", "can", "up", "sown", "harvest", "burn", "rain", "why"})
_PASSED_OVER = frozenset({"filler", "thanks", "done", "yes", "no", "letter", "sealed"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A part of a text; `value` is a dose digit, a can's label, a count or days ago."""

    role: str
    value: int = 0
    letter: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ear:
    """What a text is heard with: the household's language, the phone's letters, its date order.

    Letters are lower case; `order` is "dm" or "md".
    """

    language: str
    letters: AbstractSet[str]
    received_on: date
    order: str


def pieces_of(tokens: Sequence[Token], ear: Ear) -> list[Piece]:
    """Return the pieces of a text in the order written, each day expression as one piece."""
    texts = [token.text for token in tokens]
    found: list[Piece] = []
    at = 0
    while at < len(tokens):
        before = found[-1] if found else None
        if tokens[at].kind is Kind.WORD:
            length, piece = _word_piece(tokens, texts, at, ear, before)
        else:
            length, piece = 1, _figure_piece(tokens[at], ear, before)
        found.append(piece)
        at += length
    return _with_days(found)


def can_label(piece: Piece) -> int | None:
    """Return the can's number that a `can` piece names, or None if it names none."""
    return None if piece.value == _NO_LABEL else piece.value


def _figure_piece(token: Token, ear: Ear, before: Piece | None) -> Piece:
    if token.kind is Kind.SIGN:
        return Piece(role="sign")
    if token.kind is Kind.FIGURE:
        return _days_piece(figure_days_ago(token.text, ear.received_on, ear.order))
    # A3/4 and A3-4 may be two doses.
    joined_to_code = token.gap in {"/", "-"} and before is not None and before.role == "code"
    return Piece(role="stray" if joined_to_code else "number", value=value_of(token.text))


def _word_piece(
    tokens: Sequence[Token], texts: Sequence[str], at: int, ear: Ear, before: Piece | None
) -> tuple[int, Piece]:
    matched = lexicon(ear.language).match(texts, at)
    if matched is not None and matched[0] > 1:
        return matched[0], _entry_piece(matched[1], ear)
    code = code_at(tokens, at)
    if code is not None:
        return 2, Piece(role="code", letter=code[0], value=code[1])
    entry = None if matched is None else matched[1]
    if entry is not None and entry.role == "can" and at + 1 < len(tokens):
        following = tokens[at + 1]
        if following.kind is Kind.NUMBER:
            return 2, Piece(role="can", value=value_of(following.text))
    return 1, _lone_word_piece(texts[at], entry, ear, before)


def _lone_word_piece(word: str, entry: Entry | None, ear: Ear, before: Piece | None) -> Piece:
    behind_code = before is not None and before.role == "code"
    if behind_code and word in DIGIT_LIKE and (entry is None or entry.role == "unit"):
        return Piece(role="number", value=DIGIT_LIKE[word])
    if word in ear.letters:
        return Piece(role="letter", letter=word)
    if entry is not None:
        return _entry_piece(entry, ear)
    code = look_alike_code(word, ear.letters)
    if code is not None:
        return Piece(role="code", letter=code[0], value=code[1])
    return Piece(role="unknown")


def _entry_piece(entry: Entry, ear: Ear) -> Piece:
    if entry.role == "weekday":
        return _days_piece(weekday_days_ago(entry.value, ear.received_on))
    if entry.role == "back":
        return Piece(role="days", value=entry.value)
    return Piece(role=entry.role, value=_NO_LABEL if entry.role == "can" else entry.value)


def _days_piece(days_ago: int | None) -> Piece:
    if days_ago is None or days_ago > LONGEST_DAYS_AGO:
        return Piece(role="bad date")
    return Piece(role="days", value=days_ago)


def _with_days(pieces: Sequence[Piece]) -> list[Piece]:
    """Put each run of counts and day words, such as `2 days ago`, together into one piece."""
    found: list[Piece] = []
    run: list[Piece] = []
    for piece in pieces:
        if piece.role in _COUNTS | _DAY_WORDS:
            run.append(piece)
            continue
        found += _run_pieces(run, found)
        found.append(piece)
        run = []
    return found + _run_pieces(run, found)


def _run_pieces(run: Sequence[Piece], before: Sequence[Piece]) -> list[Piece]:
    if not run:
        return []
    counts = [piece.value for piece in run if piece.role in _COUNTS]
    roles = [piece.role for piece in run]
    if len(counts) != 1 or roles.count("ago") > 1 or roles.count("day") > 1:
        return [Piece(role="stray")]
    said_days = _days_piece(counts[0])
    if "day" in roles:
        return [said_days]
    if "ago" in roles or not _may_count_days(before):
        return [Piece(role="stray")]
    return [replace(said_days, role="bare") if said_days.role == "days" else said_days]


def _may_count_days(before: Sequence[Piece]) -> bool:
    for piece in reversed(before):
        if piece.role == "can":
            return piece.value != _NO_LABEL
        if piece.role in _COUNTABLE:
            return True
        if piece.role not in _PASSED_OVER:
            return False
    return False
