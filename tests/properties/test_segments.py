"""Laws of splitting, over made-up texts."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding
from gateway_adapters.segments import split

ALONE = {Encoding.GSM7: 160, Encoding.UCS2: 70}
EACH = {Encoding.GSM7: 153, Encoding.UCS2: 67}

gsm_texts = st.text(st.sampled_from(sorted(gsm7.ALPHABET) + ["€"] * 60), min_size=1, max_size=500)
wide_texts = st.text(
    st.sampled_from("aŋ\u1200🌱\u0301\u0308👩\u200d\ufe0f" + "é€"), min_size=1, max_size=250
)
texts = st.one_of(gsm_texts, wide_texts, st.text(st.characters(codec="utf-8"), min_size=1))


def _units(part: str, encoding: Encoding) -> int:
    if encoding is Encoding.GSM7:
        return len(part) + sum(part.count(character) for character in "\f^{}\\[~]|€")
    return len(part.encode("utf-16-be")) // 2


@given(texts)
@example("a" * 152 + "€" + "a" * 152)
@example("ŋ" * 66 + "🌱" + "ŋ" * 66)
def test_the_parts_join_to_the_text_and_each_fits(text: str) -> None:
    """3GPP TS 23.040, 9.2.3.24.1: 160 and 153 septets, 70 and 67 units of 16 bits."""
    segments = split(text)
    limits = ALONE if len(segments.parts) == 1 else EACH

    assert "".join(segments.parts) == text
    assert segments.length == sum(_units(part, segments.encoding) for part in segments.parts)
    assert all(
        0 < _units(part, segments.encoding) <= limits[segments.encoding] for part in segments.parts
    )


@given(texts, texts)
@example("a" * 160, "a")
@example("a" * 160, "ŋ")
@example("\u1200" * 60 + "e" + "\u0301" * 66, "\u0301")
def test_a_longer_text_never_takes_fewer_parts(start: str, more: str) -> None:
    """Follows from counting by splitting."""
    assert len(split(start + more).parts) >= len(split(start).parts)


@given(gsm_texts, st.integers(min_value=0, max_value=6))
@example("1234567", 0)
@example("@@@@@@@@", 1)
def test_packing_is_undone_by_unpacking(text: str, fill: int) -> None:
    """3GPP TS 23.038, 6.1.2.1: seven bits a septet, so the octets are as few as hold them."""
    septets = gsm7.encode(text)
    packed = gsm7.pack(septets, fill=fill)

    assert len(packed) == (fill + 7 * len(septets) + 7) // 8
    assert gsm7.decode(gsm7.unpack(packed, len(septets), fill=fill)) == text


@given(texts)
@example("1½ \u00d7 10² ·5 ٣")
@example("ﱞ1")
def test_folding_changes_no_number_and_is_done_once(text: str) -> None:
    """An amount must never change on its way; a text already folded stays."""
    folded = gsm7.fold(text)

    assert [c for c in folded if c.isnumeric()] == [c for c in text if c.isnumeric()]
    assert gsm7.fold(folded) == folded


@pytest.mark.parametrize("character", sorted(gsm7.ALPHABET - {"\r"}), ids=ascii)
def test_folding_keeps_the_alphabet(character: str) -> None:
    """What the alphabet has needs no folding."""
    assert gsm7.fold(character) == character
