"""Parts of a text: the check table was had by running several unrelated libraries."""

from unicodedata import normalize

import pytest

from gateway_adapters.contract import Encoding
from gateway_adapters.errors import NotEncodableError
from gateway_adapters.segments import MAX_PARTS, split

REMINDER = (
    "Kesho ni siku ya kumwagilia mahindi, shamba A, mara ya 3. Mkojo lita 4, maji lita 8. "
    "Jibu A3 ukimaliza."
)
GSM7 = [
    pytest.param("A", 1, [1], id="one letter"),
    pytest.param("a" * 160, 160, [160], id="160 letters"),
    pytest.param("a" * 161, 161, [153, 8], id="161 letters"),
    pytest.param("a" * 306, 306, [153, 153], id="306 letters"),
    pytest.param("a" * 307, 307, [153, 153, 1], id="307 letters"),
    pytest.param("a" * 459, 459, [153, 153, 153], id="459 letters"),
    pytest.param("a" * 460, 460, [153, 153, 153, 1], id="460 letters"),
    pytest.param("a" * 158 + "€", 160, [160], id="158 and a euro sign"),
    pytest.param("a" * 159 + "€", 161, [153, 8], id="159 and a euro sign"),
    pytest.param("a" * 152 + "€" + "a" * 151, 305, [152, 153], id="pair at the seam"),
    pytest.param("a" * 152 + "€" + "a" * 152, 306, [152, 153, 1], id="306 that need three"),
    pytest.param("€" * 80, 160, [160], id="80 euro signs"),
    pytest.param("€" * 81, 162, [152, 10], id="81 euro signs"),
    pytest.param("€" * 153, 306, [152, 152, 2], id="153 euro signs"),
    pytest.param("\f^{}\\[~]|€", 20, [20], id="the ten extended characters"),
    pytest.param("Ng'ombe wako, shamba A", 22, [22], id="straight apostrophe"),
    pytest.param("1.5 L/m2", 8, [8], id="m2"),
    pytest.param("ÇA VA", 5, [5], id="capital c with cedilla"),
    pytest.param("§ 3", 3, [3], id="section sign"),
    pytest.param("ba'an", 5, [5], id="apostrophe within a word"),
    pytest.param("eng'ombe", 8, [8], id="eng spelt out"),
    pytest.param(normalize("NFC", "re\u0301ponse"), 7, [7], id="e acute composed"),
    pytest.param(normalize("NFC", "\u2126"), 1, [1], id="ohm sign composed"),
    pytest.param(REMINDER, 103, [103], id="a reminder"),
    pytest.param((REMINDER + " ") * 2, 208, [153, 55], id="a reminder and a space, twice"),
]
UCS2 = [
    pytest.param("\u1200" * 70, 70, [70], id="70 ethiopic letters"),
    pytest.param("\u1200" * 71, 71, [67, 4], id="71 ethiopic letters"),
    pytest.param("\u1200" * 134, 134, [67, 67], id="134 ethiopic letters"),
    pytest.param("\u1200" * 135, 135, [67, 67, 1], id="135 ethiopic letters"),
    pytest.param("🌱" * 35, 70, [70], id="35 seedlings"),
    pytest.param("🌱" * 36, 72, [66, 6], id="36 seedlings"),
    pytest.param("ŋ" * 66 + "🌱" + "ŋ" * 66, 134, [66, 67, 1], id="surrogates at the seam"),
    pytest.param("Ng\u2019ombe wako, shamba A", 22, [22], id="curly apostrophe"),
    pytest.param("6:00\u202fPM", 7, [7], id="narrow no-break space"),
    pytest.param("lita\u00a04", 6, [6], id="no-break space"),
    pytest.param("mwagi\u00adlia", 9, [9], id="soft hyphen"),
    pytest.param("1.5 L/m²", 8, [8], id="superscript two"),
    pytest.param("lita 3\u20134", 8, [8], id="en dash"),
    pytest.param("ça va", 5, [5], id="small c with cedilla"),
    pytest.param("a`b", 3, [3], id="backtick"),
    pytest.param("a\tb", 3, [3], id="tab"),
    pytest.param("eŋŋombe", 7, [7], id="eng"),
    pytest.param("re\u0301ponse", 8, [8], id="e acute decomposed"),
    pytest.param("\u2126", 1, [1], id="ohm sign"),
]


def _septets(part: str) -> int:
    return sum(2 if character in "\f^{}\\[~]|€" else 1 for character in part)


def _units(part: str) -> int:
    return len(part.encode("utf-16-be")) // 2


@pytest.mark.parametrize(("text", "length", "lengths"), GSM7)
def test_gsm_texts(text: str, length: int, lengths: list[int]) -> None:
    """By smsutil 1.1.3 and split-sms 0.1.7 (parts), gsmcodecs 1.0.0 and gsm0338 1.1.0 (length)."""
    segments = split(text)

    assert segments.encoding is Encoding.GSM7
    assert segments.length == length
    assert [_septets(part) for part in segments.parts] == lengths
    assert "".join(segments.parts) == text


@pytest.mark.parametrize(("text", "length", "lengths"), UCS2)
def test_ucs2_texts(text: str, length: int, lengths: list[int]) -> None:
    """By smsutil 1.1.3 and split-sms 0.1.7."""
    segments = split(text)

    assert segments.encoding is Encoding.UCS2
    assert segments.length == length
    assert [_units(part) for part in segments.parts] == lengths
    assert "".join(segments.parts) == text


def test_a_combining_mark_stays_with_its_base_at_the_seam() -> None:
    """Common practice, no source."""
    text = "\u1200" * 66 + "e\u0301" + "\u1200" * 10

    assert [_units(part) for part in split(text).parts] == [66, 12]


def test_more_marks_than_a_part_holds_are_split_all_the_same() -> None:
    """Common practice, no source: nothing may be lost, and no part may be too long."""
    text = "e" + "\u0301" * 140

    assert [_units(part) for part in split(text).parts] == [67, 67, 7]


def test_an_empty_text_is_refused() -> None:
    with pytest.raises(ValueError, match="no text to split"):
        split("")


def test_half_a_surrogate_pair_is_refused_with_its_place() -> None:
    with pytest.raises(NotEncodableError, match="position 2"):
        split("🌱a\ud83c")


def test_a_text_of_the_most_parts_is_split() -> None:
    """3GPP TS 23.040, 9.2.3.24.1: the number of parts is one octet, 1 to 255."""
    assert len(split("a" * 153 * 255).parts) == MAX_PARTS == 255


def test_a_text_of_one_part_more_is_refused() -> None:
    with pytest.raises(ValueError, match="256 parts; shorten it to 255"):
        split("a" * (153 * 255 + 1))
