"""The GSM 7-bit alphabet, its packing, and folding."""

import pytest

from gateway_adapters import gsm7
from gateway_adapters.errors import NotEncodableError

EXTENSION_CODES = {  # 3GPP TS 23.038, 6.2.1.1
    "\f": 0x0A,
    "^": 0x14,
    "{": 0x28,
    "}": 0x29,
    "\\": 0x2F,
    "[": 0x3C,
    "~": 0x3D,
    "]": 0x3E,
    "|": 0x40,
    "€": 0x65,
}
# Packed by python-gsmmodem-new 0.13.0 and smspdudecoder 2.2.0, which agree (November 2026).
PACKED = [
    ("hellohello", 10, "E8329BFD4697D9EC37"),
    ("Hello, world!", 13, "C8329BFD6681EE6F399B1C02"),
    ("A3", 2, "C119"),
    ("Jibu A3 ukimaliza.", 18, "CAB4B80E0ACE40F575BA1D66A7F56117"),
    ("Ng'ombe", 7, "CEF3E9DD169701"),
    ("[A3]", 6, "1B5E70B6F101"),
    ("€", 2, "9B32"),
    ("12345678", 8, "31D98C56B3DD70"),
    ("1234567", 7, "31D98C56B3DD00"),
]
packed_rows = pytest.mark.parametrize(
    ("text", "count", "octets"), PACKED, ids=[row[0] for row in PACKED]
)


def test_the_alphabet_has_127_basic_and_10_extended_characters() -> None:
    """3GPP TS 23.038, 6.2.1: 128 basic codes, of which ESC is no character; 6.2.1.1: ten more."""
    assert len(gsm7.ALPHABET) == 128 - 1 + 10


def test_escape_is_refused_as_a_character() -> None:
    """3GPP TS 23.038, 6.2.1, note 1: the code is an escape to the extension table."""
    assert not gsm7.is_gsm7("\x1b")


@pytest.mark.parametrize(
    ("code", "character"),
    [
        pytest.param(0x00, "@", id="first"),
        pytest.param(0x09, "Ç", id="capital c with cedilla"),
        pytest.param(0x10, "Δ", id="delta"),
        pytest.param(0x24, "¤", id="currency sign, not dollar"),
        pytest.param(0x40, "¡", id="inverted exclamation mark"),
        pytest.param(0x5F, "§", id="section sign, not backtick"),
        pytest.param(0x7F, "à", id="last"),
    ],
)
def test_a_code_where_ascii_differs(code: int, character: str) -> None:
    """3GPP TS 23.038, 6.2.1, the table."""
    assert gsm7.encode(character) == bytes([code])
    assert gsm7.decode(bytes([code])) == character


@pytest.mark.parametrize("character", EXTENSION_CODES, ids=ascii)
def test_an_extended_character_is_escape_and_its_code(character: str) -> None:
    """3GPP TS 23.038, 6.2.1.1, the table."""
    assert gsm7.encode(character) == bytes([0x1B, EXTENSION_CODES[character]])
    assert gsm7.septet_count(character) == 2


def test_eighty_five_characters_have_their_ascii_code() -> None:
    """3GPP TS 23.038, 6.2.1: letters, digits, space, LF, CR and these 20 signs."""
    signs = "!\"#%&'()*+,-./:;<=>?"
    same = [code for code in range(0x80) if gsm7.decode(bytes([code])) == chr(code)]

    assert len(same) == 26 * 2 + 10 + 3 + len(signs)


def test_an_outsider_is_named_with_its_position() -> None:
    with pytest.raises(NotEncodableError) as refused:
        gsm7.encode("lita 3\u20134")

    assert (refused.value.character, refused.value.position) == ("\u2013", 6)


def test_counting_an_outsider_is_refused() -> None:
    with pytest.raises(NotEncodableError, match="position 0"):
        gsm7.septet_count("ŋ")


@pytest.mark.parametrize(
    ("septets", "text"),
    [
        pytest.param(b"\x1b\x65", "€", id="known extension"),
        pytest.param(b"\x1b\x41", "A", id="unknown extension reads as the basic character"),
        pytest.param(b"\x1b\x1bA", " A", id="escape twice reads as a space"),
        pytest.param(b"A\x1b", "A ", id="escape at the end reads as a space"),
        pytest.param(b"\xc1", "A", id="eighth bit ignored"),
    ],
)
def test_any_septets_have_a_reading(septets: bytes, text: str) -> None:
    """3GPP TS 23.038, 6.2.1.1, notes 1 and 3; the last two rows are common practice, no source."""
    assert gsm7.decode(septets) == text


@packed_rows
def test_packing(text: str, count: int, octets: str) -> None:
    """The last row pads seven spare bits with zeros, as SMS does (TS 23.038, 6.1.2.1)."""
    septets = gsm7.encode(text)

    assert len(septets) == gsm7.septet_count(text) == count
    assert gsm7.pack(septets) == bytes.fromhex(octets)


@packed_rows
def test_unpacking(text: str, count: int, octets: str) -> None:
    assert gsm7.decode(gsm7.unpack(bytes.fromhex(octets), count)) == text


def test_packing_behind_a_header_of_six_octets() -> None:
    """As python-gsmmodem-new 0.13.0 packs it: one fill bit, then the septets."""
    octets = bytes.fromhex("9469711D149C01")

    assert gsm7.pack(gsm7.encode("Jibu A3"), fill=gsm7.fill_bits(6)) == octets
    assert gsm7.decode(gsm7.unpack(octets, 7, fill=gsm7.fill_bits(6))) == "Jibu A3"


@pytest.mark.parametrize(
    ("header_octets", "bits"),
    [
        pytest.param(0, 0, id="no header"),
        pytest.param(6, 1, id="8-bit reference: 48 bits, next septet at 49"),
        pytest.param(7, 0, id="16-bit reference: 56 bits are 8 septets"),
        pytest.param(4, 3, id="one shift table: 32 bits, next septet at 35"),
    ],
)
def test_fill_bits(header_octets: int, bits: int) -> None:
    """3GPP TS 23.040, 9.2.3.24: the text starts on a septet boundary."""
    assert gsm7.fill_bits(header_octets) == bits


def test_more_septets_than_the_octets_hold_are_refused() -> None:
    with pytest.raises(ValueError, match="2 octets do not hold 3 septets"):
        gsm7.unpack(b"\xc1\x19", 3)


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        pytest.param("ça va", "ca va", id="c with cedilla"),
        pytest.param("mamã, já", "mama, ja", id="a with tilde, a with acute"),
        pytest.param("sûr", "sur", id="u with circumflex"),
        pytest.param("ng\u2019ombe", "ng'ombe", id="curly apostrophe"),
        pytest.param("lita 3\u20134", "lita 3-4", id="en dash"),
        pytest.param("6:00\u202fPM", "6:00 PM", id="narrow no-break space"),
        pytest.param("lita\u00a04", "lita 4", id="no-break space"),
        pytest.param("re\u0301ponse", "réponse", id="decomposed e acute is in the alphabet"),
        pytest.param("\u2126", "Ω", id="ohm sign composes to omega"),
        pytest.param("É, è, ñ, ß, Ç", "É, è, ñ, ß, Ç", id="the alphabet's own accents stay"),
        pytest.param("eŋŋombe", "eng'ng'ombe", id="eng"),
        pytest.param("ɓera, ɗaki, ƙasa", "bera, daki, kasa", id="hooked letters"),
        pytest.param("ẹ̀kọ́", "eko", id="two marks on one letter"),
        pytest.param("œuf", "oeuf", id="ligature"),
        pytest.param("mwagi\u00adlia", "mwagilia", id="soft hyphen"),
        pytest.param("a\r\nb\tc", "a\nb c", id="line ends and tab"),
    ],
)
def test_folding_makes_plain(text: str, folded: str) -> None:
    """Unicode 14 decompositions; the letters without one are common practice, no source."""
    assert gsm7.fold(text) == folded


@pytest.mark.parametrize(
    "text",
    ["1½ L", "10² L", "1·5 L", "٣ L", "ነገ", "🌱", "`", "ऋ\u0941"],
    ids=["half", "squared", "raised point", "arabic digit", "ethiopic", "seedling", "backtick",
         "devanagari vowel sign"],
)  # fmt: skip
def test_folding_leaves_what_has_no_plain_letter(text: str) -> None:
    """An amount must never change on its way, and nothing is dropped or guessed."""
    assert gsm7.fold(text) == text


def test_tidying_keeps_letters() -> None:
    assert gsm7.tidy("ça “va”…") == 'ça "va"...'
