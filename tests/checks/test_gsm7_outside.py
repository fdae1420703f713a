"""The alphabet against two unrelated codecs, gsmcodecs 1.0.0 and gsm0338 1.1.0."""

import gsmcodecs  # noqa: F401 -- registers the codec
import pytest
from gsm0338 import Codec
from hypothesis import example, given
from hypothesis import strategies as st

from gateway_adapters import gsm7

BMP = [chr(code) for code in range(0x10000) if not 0xD800 <= code < 0xE000]
ESCAPE = "\x1b"
GSMCODECS = "gsm23.038-0-0"


def _gsmcodecs(text: str) -> bytes | None:
    try:
        return text.encode(GSMCODECS)
    except UnicodeEncodeError:
        return None


def _gsm0338(text: str) -> bytes | None:
    try:
        return bytes(Codec().encode(text)[0])
    except UnicodeEncodeError:
        return None


def _ours(text: str) -> bytes | None:
    return gsm7.encode(text) if gsm7.is_gsm7(text) else None


def test_gsmcodecs_agrees_on_every_character_of_the_basic_plane() -> None:
    """By gsmcodecs 1.0.0, made from 3GPP TS 23.038, release 18; it refuses ESC as we do."""
    assert [character for character in BMP if _ours(character) != _gsmcodecs(character)] == []


def test_gsm0338_agrees_on_every_character_of_the_basic_plane_but_escape() -> None:
    """By gsm0338 1.1.0; it takes ESC for a character."""
    codec = Codec()
    known = {character for character in BMP if _taken(codec, character)}

    assert known - gsm7.ALPHABET == {ESCAPE}
    assert gsm7.ALPHABET - known == set()
    assert all(
        bytes(codec.encode(character)[0]) == gsm7.encode(character) for character in gsm7.ALPHABET
    )


def _taken(codec: Codec, character: str) -> bool:
    try:
        codec.encode(character)
    except UnicodeEncodeError:
        return False
    return True


@given(st.text(st.sampled_from([*sorted(gsm7.ALPHABET), "ŋ", "`", "🌱"]), max_size=60))
@example("[A3] 5€")
@example("Ng\u2019ombe")
def test_both_codecs_agree_on_whole_texts(text: str) -> None:
    """By gsmcodecs 1.0.0 and gsm0338 1.1.0, texts mostly of the alphabet."""
    assert _ours(text) == _gsmcodecs(text)
    assert _ours(text) == _gsm0338(text)


@given(st.text(st.sampled_from(sorted(gsm7.ALPHABET)), max_size=60))
def test_both_codecs_read_our_septets(text: str) -> None:
    """By gsmcodecs 1.0.0 and gsm0338 1.1.0."""
    septets = gsm7.encode(text)

    assert septets.decode(GSMCODECS) == text
    assert Codec().decode(septets)[0] == text


@pytest.mark.parametrize("code", [c for c in range(0x80) if c != 0x1B], ids=hex)
def test_gsmcodecs_reads_each_basic_code_as_we_do(code: int) -> None:
    """By gsmcodecs 1.0.0."""
    assert gsm7.decode(bytes([code])) == bytes([code]).decode(GSMCODECS)
