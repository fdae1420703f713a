"""What the keys of the menu mean, and what of an input counts. Pure.

Blanks, `*` and `#` do not count, and digits of any script do. Zero goes back, nine leaves, eight
shows more, on every screen.
"""

import re
import unicodedata

BACK, MORE, LEAVE, YES = "0", "8", "9", "1"
MOST_CHOICES = 7  # keys 1 to 7

_BLANKS = re.compile(r"\s+")
_BETWEEN = re.compile(r"[*#]+")


def inputs_of(typed: str) -> tuple[str, ...]:
    """Return the inputs that were typed one after the other, such as 1, 2 and 1 of `1*2*1`."""
    bare = _BLANKS.sub("", typed)
    plain = "".join(_plain(character) for character in bare)
    return tuple(part for part in _BETWEEN.split(plain) if part)


def path_of(dialled: str, code: str) -> tuple[str, ...]:
    """Return the inputs behind the code in what was dialled first.

    A whole dialling string such as `*150*2*1#` begins with the code itself, whether or not the
    gateway has told the code beside it.
    """
    path, own = inputs_of(dialled), inputs_of(code)
    bare = dialled.strip()
    if not bare.startswith("*"):
        return path
    if own and path[: len(own)] == own:
        return path[len(own) :]
    return path[1:] if bare.endswith("#") else path


def _plain(character: str) -> str:
    digit = unicodedata.digit(character, None)
    return character if digit is None else str(digit)
