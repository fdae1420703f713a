"""JSON pointers, and JSON that is read with care."""

import json

import pytest

from gateway_adapters.http_form.pointer import (
    UnreadableError,
    id_text,
    look_up,
    parse_pointer,
    read_json,
    scalar_text,
)

DOCUMENT = {
    "foo": ["bar", "baz"],
    "": 0,
    "a/b": 1,
    "c%d": 2,
    "e^f": 3,
    "g|h": 4,
    "i\\j": 5,
    'k"l': 6,
    " ": 7,
    "m~n": 8,
}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", DOCUMENT),
        ("/foo", ["bar", "baz"]),
        ("/foo/0", "bar"),
        ("/", 0),
        ("/a~1b", 1),
        ("/c%d", 2),
        ("/e^f", 3),
        ("/g|h", 4),
        ("/i\\j", 5),
        ('/k"l', 6),
        ("/ ", 7),
        ("/m~0n", 8),
    ],
)
def test_a_pointer_finds_what_the_standard_says(text: str, found: object) -> None:
    """RFC 6901, section 5: the document and all its examples (from memory)."""
    assert look_up(DOCUMENT, parse_pointer(text)) == found


@pytest.mark.parametrize(
    "text", ["/nothing", "/foo/2", "/foo/01", "/foo/-", "/foo/-1", "/foo/0/0", "/foo/\u0660"]
)
def test_a_pointer_to_nothing_finds_nothing(text: str) -> None:
    assert look_up(DOCUMENT, parse_pointer(text)) is None


@pytest.mark.parametrize("text", ["id", "a/b", "/a~2", "/~"])
def test_what_is_no_pointer_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="pointer"):
        parse_pointer(text)


@pytest.mark.parametrize(
    "octets",
    [
        b"",
        b"{",
        b"\xff",
        b"NaN",
        b'{"a": Infinity}',
        b"[" * 60_000,
        b"9" * 60_000,
        b"'a'",
        b"{} {}",
    ],
    ids=range(9),
)
def test_what_is_no_json_is_unreadable(octets: bytes) -> None:
    with pytest.raises(UnreadableError):
        read_json(octets)


def test_numbers_stay_as_they_were_written() -> None:
    assert read_json(b"\xef\xbb\xbf[1.10, 12345678901234567890, 1e3]") == [
        "1.10",
        12345678901234567890,
        "1e3",
    ]


@pytest.mark.parametrize(
    ("value", "text"),
    [("a", "a"), (17, "17"), (True, "true"), (False, "false"), (None, None), ([], None)],
)
def test_only_single_values_have_a_text(value: object, text: str | None) -> None:
    assert scalar_text(value) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("1f2e", "1f2e"),
        (1001, "1001"),
        ("x" * 256, "x" * 256),
        ("x" * 257, None),
        ("", None),
        (" ", None),
        (True, None),
        (None, None),
        ("a\x00", None),
        (json.loads('"\\ud800"'), None),
    ],
    ids=range(10),
)
def test_an_id_is_a_short_printable_text_or_a_number(value: object, text: str | None) -> None:
    assert id_text(value) == text
