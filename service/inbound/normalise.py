"""One spelling for what phones write in many ways.

The result is lower case, without accents on Latin letters, with digits 0-9 only. `%` stands for any
sign that changes what a number means (a fraction, a currency, a percentage), so that nobody
takes the number beside it for a count of days.
"""

import unicodedata

SIGN = "%"

# Apostrophes as phones write them: quotation marks, modifier letters, accents, prime, full width.
_APOSTROPHES = dict.fromkeys((0x2019, 0x2018, 0x2BC, 0x2BB, 0x60, 0xB4, 0x2032, 0xFF07), "'")
_QUESTIONS = dict.fromkeys(map(ord, "؟፧"), "?")  # NFKC leaves the Arabic and Ethiopic marks alone
_HOOKED = {"ɓ": "b", "ɗ": "d", "ƙ": "k", "ƴ": "y", "ɛ": "e", "ɔ": "o", "ŋ": "ng", "\u0131": "i"}
_FOLDED_SCRIPTS = (
    "LATIN",
    "GREEK",
    "CYRILLIC",
    "ARABIC",
)  # their marks never tell words apart here
_LOOK_ALIKES = str.maketrans("арстмоіјԍԝατμρογι", "apctmoijgwatmpoyi")


def normalise(text: str) -> str:
    """Return the text in the one spelling that the word lists and codes are compared in.

    Any text is accepted, whatever its script. Only what a person reads survives: direction marks,
    variation selectors and pictures go, `+` and `&` become a word of their own.
    """
    plain = "".join(SIGN if _is_raised(mark) else mark for mark in text)
    plain = unicodedata.normalize("NFKC", plain.translate(_APOSTROPHES).translate(_QUESTIONS))
    pieces: list[str] = []
    base = ""
    for mark in unicodedata.normalize("NFD", plain.casefold()):
        if not unicodedata.category(mark).startswith("M"):
            base = mark
            pieces.append(_written(mark))
        elif _keeps_marks(base):
            pieces.append(mark)
    return unicodedata.normalize("NFC", "".join(pieces))


def look_alike(letter: str) -> str:
    """Return the Latin letter that a lone Cyrillic or Greek letter looks like, or the letter."""
    return letter.translate(_LOOK_ALIKES)


def _is_raised(mark: str) -> bool:
    """Say whether a sign stands above or below the line: `m²` must not become the code M2."""
    return unicodedata.decomposition(mark).startswith(("<super>", "<sub>"))


def _written(mark: str) -> str:
    digit = unicodedata.digit(mark, None)
    if digit is not None:
        return str(digit)
    category = unicodedata.category(mark)
    if category in {"No", "Nl", "Sc"} or mark in "%@\u2044":
        return SIGN
    if mark in "+&":
        return " & "
    if category == "Cf":
        return ""
    if category[0] in "SCZ":
        return " "
    return _HOOKED.get(mark, mark)


def _keeps_marks(base: str) -> bool:
    """Say whether marks on this letter belong to it, as vowel signs do in Devanagari."""
    if not base or not unicodedata.category(base).startswith("L"):
        return False
    return not unicodedata.name(base, "").startswith(_FOLDED_SCRIPTS)
