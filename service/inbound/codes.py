"""Plot letters, dose digits and the phone keys they lie on."""

from collections.abc import Container, Sequence

from service.inbound.tokens import Kind, Token

# The letter that one press of each key gives (ITU-T E.161 keypad, from memory).
LETTER_OF_KEY = {"2": "a", "3": "d", "4": "g", "5": "j", "6": "m", "7": "p", "8": "t", "9": "w"}
LETTERS = frozenset(LETTER_OF_KEY.values())

# What thumbs and old screens confuse with a digit.
DIGIT_LIKE = {"o": 0, "i": 1, "l": 1}

# Longer numbers are no dose, day or can; this stands for all of them.
TOO_LARGE = 999

Code = tuple[str, int]


def value_of(number: str) -> int:
    """Return a written number, or TOO_LARGE for one of more than three digits."""
    return int(number) if len(number) <= len("999") else TOO_LARGE


def code_at(tokens: Sequence[Token], at: int) -> Code | None:
    """Return the letter and number written at a place as two tokens, whoever owns the letter."""
    if at + 1 >= len(tokens):
        return None
    letter, number = tokens[at], tokens[at + 1]
    if letter.kind is not Kind.WORD or number.kind is not Kind.NUMBER:
        return None
    if len(letter.text) != 1 or not letter.text.isascii() or letter.text == "&":
        return None
    # A02 is as unclear as A32: one digit or none.
    return letter.text, value_of(number.text) if len(number.text) == 1 else TOO_LARGE


def look_alike_code(word: str, letters: Container[str]) -> Code | None:
    """Return the code that a two-letter word such as `Al` stands for behind an owned letter."""
    if len(word) == len("al") and word[0] in letters and word[1] in DIGIT_LIKE:
        return word[0], DIGIT_LIKE[word[1]]
    return None


def names_code(tokens: Sequence[Token], letters: Container[str], *, known: Container[str]) -> bool:
    """Say whether a text holds anything in the shape of a letter code, even of a letter not owned.

    `known` holds the words of the language: `go` is no G0.
    """
    for at, token in enumerate(tokens):
        code = code_at(tokens, at)
        if code is not None and code[1] != TOO_LARGE:
            return True
        if token.text not in known and look_alike_code(token.text, letters) is not None:
            return True
    return False


def names_key_code(tokens: Sequence[Token], letters: Container[str]) -> bool:
    """Say whether a text holds two digits that may be the keys of a code."""
    return any(
        token.kind is Kind.NUMBER and _by_key(token.text, letters) is not None for token in tokens
    )


def codes_by_keys(
    tokens: Sequence[Token], letters: Container[str]
) -> tuple[tuple[Code, ...], int] | None:
    """Return the codes and days that a text of digits alone means, or None if it is unclear.

    `23` is the key of the letter and the dose; one single digit behind one code counts days.
    """
    codes: list[Code] = []
    for at, token in enumerate(tokens):
        code = _by_key(token.text, letters)
        if code is not None:
            codes.append(code)
        elif at == len(tokens) - 1 and len(token.text) == 1 and len(set(codes)) == 1:
            return tuple(dict.fromkeys(codes)), value_of(token.text)
        else:
            return None
    return (tuple(dict.fromkeys(codes)), 0) if codes else None


def _by_key(number: str, letters: Container[str]) -> Code | None:
    if len(number) != len("23"):
        return None
    letter = LETTER_OF_KEY.get(number[0])
    return (letter, int(number[1])) if letter is not None and letter in letters else None
