"""The GSM 7-bit default alphabet (3GPP TS 23.038, 6.2.1): membership, septets, packing, folding.

Pure. National language tables are not used, since old phones show them wrongly. ESC is a
code and not a character, so it is refused: 137 characters remain.
"""

import unicodedata

from gateway_adapters.errors import NotEncodableError

ESCAPE = 0x1B
EXTENSION = "\f^{}\\[~]|€"  # two septets each: ESC and a code

_BASIC = (
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\x1bÆæßÉ"
    " !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§"
    "¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
_EXTENSION_CODES = b"\x0a\x14\x28\x29\x2f\x3c\x3d\x3e\x40\x65"
_EXTENDED = dict(zip(_EXTENSION_CODES, EXTENSION, strict=True))
_OCTETS = {
    **{character: bytes([code]) for code, character in enumerate(_BASIC) if code != ESCAPE},
    **{character: bytes([ESCAPE, code]) for code, character in _EXTENDED.items()},
}

ALPHABET = frozenset(_OCTETS)
_EXTENDING = frozenset(EXTENSION)

# Marks that change nothing in the meaning of a text. The middle dot is left out on purpose:
# between digits it can be a decimal point, and an amount must never change on its way.
_HARMLESS = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u02bc\u2032", "'"),
        **dict.fromkeys("\u201c\u201d\u00ab\u00bb", '"'),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u2022", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t", " "),
        **dict.fromkeys("\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufeff", ""),
        "\u2026": "...",
        "\u00d7": " x ",
        "\u00b0": " deg",
    }
)
# Letters that Unicode does not take apart; common practice, no source.
_LETTERS = {
    "œ": "oe", "Œ": "OE", "ɓ": "b", "Ɓ": "B", "ɗ": "d", "Ɗ": "D", "ƙ": "k", "Ƙ": "K",
    "ƴ": "y", "Ƴ": "Y", "ŋ": "ng'", "Ŋ": "NG'", "ɛ": "e", "Ɛ": "E", "ɔ": "o", "Ɔ": "O",
}  # fmt: skip


def is_gsm7(text: str) -> bool:
    """Return whether each character of the text is in the alphabet; so is the empty text."""
    return ALPHABET.issuperset(text)


def septet_count(text: str) -> int:
    """Return the text's length in septets: one a character, two for the ten of the extension.

    Raises:
        NotEncodableError: A character is outside the alphabet.
    """
    _refuse_outsiders(text)
    return septets_of(text)


def septets_of(text: str) -> int:
    """Return the length in septets of a text that is known to be in the alphabet."""
    if _EXTENDING.isdisjoint(text):
        return len(text)
    return len(text) + sum(map(text.count, EXTENSION))


def encode(text: str) -> bytes:
    """Return the text's septets, one in each octet.

    Raises:
        NotEncodableError: A character is outside the alphabet.
    """
    _refuse_outsiders(text)
    return b"".join(map(_OCTETS.__getitem__, text))


def decode(septets: bytes) -> str:
    """Return the text of septets that stand one in each octet; the eighth bit is ignored.

    An unknown extension code reads as the basic character of that code, and ESC twice or at the
    end as a space (TS 23.038, 6.2.1.1), so every octet string has a reading.
    """
    text: list[str] = []
    codes = iter(septets)
    for code in codes:
        if code & 0x7F != ESCAPE:
            text.append(_BASIC[code & 0x7F])
            continue
        extended = next(codes, ESCAPE) & 0x7F
        plain = " " if extended == ESCAPE else _BASIC[extended]
        text.append(_EXTENDED.get(extended, plain))
    return "".join(text)


def fill_bits(header_octets: int) -> int:
    """Return how many zero bits follow a user data header (with its length octet), 0 to 6.

    The text starts on a septet boundary (TS 23.040, 9.2.3.24).
    """
    return -8 * header_octets % 7


def pack(septets: bytes, *, fill: int = 0) -> bytes:
    """Return septets packed into octets, first bit first, behind `fill` zero bits.

    Spare bits at the end are zero, as SMS has it; the count of septets travels beside the octets
    (TS 23.038, 6.1.2.1).
    """
    packed = bytearray()
    waiting, width = 0, fill
    for septet in septets:
        waiting |= (septet & 0x7F) << width
        width += 7
        if width >= 8:  # noqa: PLR2004 -- bits in an octet
            packed.append(waiting & 0xFF)
            waiting >>= 8
            width -= 8
    if width:
        packed.append(waiting)
    return bytes(packed)


def unpack(packed: bytes, count: int, *, fill: int = 0) -> bytes:
    """Return `count` septets, one in each octet, from octets packed behind `fill` bits.

    Raises:
        ValueError: The octets hold fewer septets than `count`.
    """
    if count < 0 or fill + 7 * count > 8 * len(packed):
        raise ValueError(f"{len(packed)} octets do not hold {count} septets.")
    bits = int.from_bytes(packed, "little") >> fill
    return bytes(bits >> 7 * place & 0x7F for place in range(count))


def tidy(text: str) -> str:
    """Return the text composed (NFC) and with typographic marks made plain.

    Curly quotes, dashes, odd spaces and invisible characters go; letters and digits stay.
    """
    return unicodedata.normalize("NFC", text).translate(_HARMLESS).replace("\r\n", "\n")


def fold(text: str) -> str:
    """Return the tidied text with foreign letters made plain where there is a plain form.

    Characters of the alphabet stay as they are, accents included. Only letters are folded: a
    digit, a fraction or a superscript never changes. A letter without a plain form stays, so
    the result may still need UCS-2; ask `is_gsm7`.
    """
    if text.isascii() and "\t" not in text and "\r" not in text:
        return text  # nothing to fold: most texts, and by far the fastest way
    folded: list[str] = []
    on_letter = False  # whether a combining mark here would sit on a letter of the alphabet
    for character in tidy(text):
        if on_letter and unicodedata.category(character) == "Mn":
            continue
        plain = _plain(character)
        on_letter = character.isalpha() and is_gsm7(plain)
        folded.append(plain)
    return "".join(folded)


def _plain(character: str) -> str:
    if character in ALPHABET or not character.isalpha():
        return character
    if character in _LETTERS:
        return _LETTERS[character]
    parts = unicodedata.normalize("NFKD", character)
    plain = "".join(part for part in parts if unicodedata.category(part) != "Mn")
    # Some signs for a lone accent come apart into a space: those have no plain letter.
    return plain if plain.isalpha() and is_gsm7(plain) else character


def _refuse_outsiders(text: str) -> None:
    if is_gsm7(text):
        return
    position = next(place for place, character in enumerate(text) if character not in ALPHABET)
    raise NotEncodableError(text[position], position)
