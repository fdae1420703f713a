"""Letters, can numbers and labels that nobody else on the phone has. Pure."""

from collections.abc import Collection

from gateway_adapters.gsm7 import fold, is_gsm7, septet_count
from service.messages.letters import LETTERS
from service.records.limits import LIMITS

_DIGITS = 3  # of a household's code


def next_letter(taken: Collection[str | None]) -> str | None:
    """Return the first letter that is free, None where all are taken."""
    return next((letter for letter in LETTERS if letter not in taken), None)


def next_number(taken: Collection[int]) -> int | None:
    """Return the lowest can number that is free, None where two digits do not suffice."""
    limits = LIMITS.numbers["number"]
    numbers = range(int(limits.at_least), int(limits.at_most) + 1)
    return next((number for number in numbers if number not in taken), None)


def next_code(taken: Collection[str]) -> str:
    """Return the number after the highest that serves as a code, such as `007`."""
    numbers = [int(code) for code in taken if code.isascii() and code.isdecimal()]
    number = max(numbers, default=0) + 1
    while f"{number:0{_DIGITS}d}" in taken:
        number += 1
    return f"{number:0{_DIGITS}d}"


def next_member(letter: str, taken: Collection[str]) -> str:
    """Return the first of P1, P2 … that is free among a household's or a plot's own."""
    number = 1
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"


def label_for(alias: str, *, code: str, taken: Collection[str]) -> str:
    """Return the alias in a label's room, with a number behind it where that is taken.

    Letters that are not on every phone are made plain or left out; a name that has none of the
    others is labelled by the household's code. Case does not tell labels apart.
    """
    name = _plain(alias) or _plain(code)
    folded = {label.casefold() for label in taken}
    label, number = _cut(name, ""), 1
    while label.casefold() in folded:
        number += 1
        label = _cut(name, str(number))
    return label


def _plain(text: str) -> str:
    kept = (letter for letter in fold(text) if letter.isalnum() or letter == " ")
    return " ".join("".join(letter for letter in kept if is_gsm7(letter)).split())


def _cut(name: str, ending: str) -> str:
    room = LIMITS.characters["label"] - len(ending)
    while septet_count(name) > room:
        name = name[:-1]
    return name.rstrip() + ending
