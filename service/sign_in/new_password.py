"""What may be a new password: long enough, and nothing that is guessed first.

There is no rule about kinds of characters. In place of a list of common passwords, of which few
have 12 characters, these rules refuse what such lists are made of: repeats, runs along the
keyboard, the alphabet or the digits, and one or two common words, with or without digits, signs
or a year around them. The words are in `common_words.txt`, written down from memory.
"""

import unicodedata
from collections.abc import Collection, Iterable
from functools import cache
from itertools import combinations_with_replacement
from pathlib import Path

from service.errors import ServiceError
from service.sign_in.passwords import LEAST, MOST

FEWEST_DIFFERENT = 5
LONGEST_NUMBER = 15  # digits of a telephone number (ITU-T E.164), so all dates and most numbers
LEAST_RUN = 3
MOST_ASIDE = 3  # characters beside a run that do not save it
LEAST_WORD = 3
MOST_DIGITS = 8  # a date's; more of them beside a word are a secret of their own
_ROWS = (
    "01234567890",
    "abcdefghijklmnopqrstuvwxyz",
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "azertyuiop",
    "qsdfghjklm",
    "qwertzuiop",
    "yxcvbnm",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm8ik9ol0p",
)
_LINES = tuple(line for row in _ROWS for line in (row, row[::-1]))
_LOOKALIKES = str.maketrans("013457@$!", "oieastasi")
_WORDS_FILE = Path(__file__).with_name("common_words.txt")


class PasswordRefusedError(ServiceError):
    """A new password may not be used; the sentence says what to do."""


def check_new_password(text: str, *, context: Collection[str] = ()) -> str:
    """Return a new password as it is kept, composed by NFC.

    `context` are the words others would try first: the sign-in name, what the association is
    called.

    Raises:
        PasswordRefusedError: it is too short, too long, or guessed too easily.
    """
    password = unicodedata.normalize("NFC", text)
    if any(unicodedata.category(character) in ("Cc", "Cs") for character in password):
        raise PasswordRefusedError("Use letters, digits, signs and blanks only.")
    if len(password) < LEAST:
        raise PasswordRefusedError(
            f"Use {LEAST} characters or more; four words that do not belong together are easy "
            "to keep in mind."
        )
    if len(password) > MOST:
        raise PasswordRefusedError(f"Use {MOST} characters or fewer.")
    if _is_guessed(password.casefold(), context):
        raise PasswordRefusedError(
            "This is among the first that others would try; take four words that do not belong "
            "together."
        )
    return password


def _is_guessed(password: str, context: Collection[str]) -> bool:
    return (
        len(set(password)) < FEWEST_DIFFERENT
        or _repeats(password)
        or (password.isdigit() and len(password) <= LONGEST_NUMBER)
        or _beside_runs(password) <= MOST_ASIDE
        or _is_made_of_few_words(password, context)
    )


def _repeats(password: str) -> bool:
    # a text that repeats a part is found again in itself before its end
    return password in (password + password)[1:-1]


def _beside_runs(password: str) -> int:
    """Return how many characters stand in no run of three or more along a row of keys."""
    beside, at = 0, 0
    while at < len(password):
        length = _run_from(password, at)
        beside += 0 if length else 1
        at += length or 1
    return beside


def _run_from(password: str, at: int) -> int:
    length = LEAST_RUN
    while at + length <= len(password) and any(
        password[at : at + length] in line for line in _LINES
    ):
        length += 1
    return length - 1 if length > LEAST_RUN else 0


def _is_made_of_few_words(password: str, context: Collection[str]) -> bool:
    if sum(map(str.isdigit, password)) > MOST_DIGITS:
        return False
    words = _common_words() | set(_parts(context))
    stripped = password.strip("0123456789 !?.,;:#*+-_=@$%&/()")
    spellings = {
        _letters(password),
        _letters(password.translate(_LOOKALIKES)),
        _letters(stripped.translate(_LOOKALIKES)),  # its year is no letters
    }
    return any(_is_covered(letters, words) for letters in spellings if letters)


def _is_covered(letters: str, words: Collection[str]) -> bool:
    held = [word for word in words if word in letters]
    return any(_covers(letters, pair) for pair in combinations_with_replacement(held, 2))


def _covers(letters: str, pair: tuple[str, str]) -> bool:
    reached = {0}
    for at in range(len(letters)):
        if at in reached:
            reached |= {at + len(word) for word in pair if letters.startswith(word, at)}
    return len(letters) in reached


def _parts(context: Iterable[str]) -> Iterable[str]:
    for text in context:
        folded = unicodedata.normalize("NFC", text).casefold()
        for part in (*folded.replace("-", " ").replace("_", " ").replace(".", " ").split(), folded):
            letters = _letters(part)
            if len(letters) >= LEAST_WORD:
                yield letters


def _letters(text: str) -> str:
    return "".join(character for character in text if character.isalpha())


@cache
def _common_words() -> frozenset[str]:
    lines = _WORDS_FILE.read_text(encoding="utf-8").splitlines()
    return frozenset(word for line in lines if not line.startswith("#") for word in line.split())
