"""Addresses, alphabets, headers and ids of texts, without a connection."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters import gsm7
from gateway_adapters.contract import Encoding, Segments
from gateway_adapters.errors import NotEncodableError
from gateway_adapters.events import Part
from gateway_adapters.segments import split
from gateway_adapters.smpp.addresses import (
    Address,
    Plan,
    phone_address,
    readable_number,
    sender_address,
)
from gateway_adapters.smpp.alphabets import Alphabet, decode, encode
from gateway_adapters.smpp.headers import Header, concatenation, read_header
from gateway_adapters.smpp.long_texts import Long, References, bodies
from gateway_adapters.smpp.marks import Marks, digest
from tests.outgoing import PHONE

GSM7_TEXT = st.text(st.sampled_from(sorted(gsm7.ALPHABET)), min_size=1, max_size=400)
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=300)


@pytest.mark.parametrize(
    ("sender", "ton", "npi", "digits"),
    [
        ("KUMBUSHO", 5, 0, "KUMBUSHO"),
        ("Maji 2 safi", 5, 0, "Maji 2 safi"),
        ("15050", 3, 0, "15050"),
        (PHONE, 1, 1, PHONE[1:]),
        (PHONE[1:], 1, 1, PHONE[1:]),
    ],
)
def test_a_senders_kind_tells_type_and_plan(sender: str, ton: int, npi: int, digits: str) -> None:
    assert sender_address(sender, Plan()) == Address(ton=ton, npi=npi, digits=digits)


@pytest.mark.parametrize("sender", ["", "TWELVE CHARS", "n\u00e9", "A\nB", "[[[[[[", "1" * 21])
def test_a_sender_that_no_phone_can_show_is_none(sender: str) -> None:
    assert sender_address(sender, Plan()) is None


def test_a_routes_own_plan_goes_before_the_kind() -> None:
    assert sender_address("15050", Plan(ton=0, npi=1)) == Address(ton=0, npi=1, digits="15050")
    assert phone_address(PHONE, Plan(npi=0)) == Address(ton=1, npi=0, digits=PHONE[1:])


@pytest.mark.parametrize("number", ["", "255100000001", "+0100000001", "+12", "15050"])
def test_a_number_outside_the_international_form_is_none(number: str) -> None:
    assert phone_address(number, Plan()) is None


@pytest.mark.parametrize(
    ("ton", "digits", "code", "number"),
    [
        (1, "255100000001", "", PHONE),
        (1, "+255100000001", "", PHONE),
        (0, "00255100000001", "", PHONE),
        (0, "255100000001", "255", PHONE),
        (2, "0100000001", "255", PHONE),
        (0, "0100000001", "", "0100000001"),
        (3, "15050", "255", "15050"),
        (0, "25512", "255", "25512"),
        (5, "MTANDAO", "255", "MTANDAO"),
        (1, "15050", "", "15050"),
    ],
)
def test_a_number_is_read_as_far_as_it_is_told(
    ton: int, digits: str, code: str, number: str
) -> None:
    assert readable_number(Address(ton=ton, npi=0, digits=digits), country_code=code) == number


@given(GSM7_TEXT)
def test_a_text_of_the_alphabet_comes_back_as_it_went(text: str) -> None:
    assert decode(encode(text, Encoding.GSM7, Alphabet.GSM7), 0, Alphabet.GSM7).text == text


@given(GSM7_TEXT.filter(lambda text: not text.endswith("\r")), st.sampled_from([0, 6, 7]))
def test_a_packed_text_comes_back_behind_any_header(text: str, header: int) -> None:
    packed = encode(text, Encoding.GSM7, Alphabet.GSM7_PACKED, header=header)

    assert decode(packed, 0, Alphabet.GSM7_PACKED, header=header).text == text


@given(ANY_TEXT)
def test_any_text_comes_back_from_ucs2(text: str) -> None:
    assert decode(encode(text, Encoding.UCS2, Alphabet.ASCII), 8, Alphabet.GSM7).text == text


@pytest.mark.parametrize(
    ("text", "alphabet", "octets"),
    [
        ("@ $ _ \u00e9", Alphabet.GSM7, b"\x00 \x02 \x11 \x05"),
        ("@ $ _ \u00e9", Alphabet.LATIN1, b"@ $ _ \xe9"),
        ("@ $ _", Alphabet.ASCII, b"@ $ _"),
    ],
)
def test_the_proving_text_in_each_default_alphabet(
    text: str, alphabet: Alphabet, octets: bytes
) -> None:
    assert encode(text, Encoding.GSM7, alphabet) == octets


@pytest.mark.parametrize(
    ("text", "alphabet"),
    [("5\u20ac", Alphabet.LATIN1), ("\u00e9", Alphabet.ASCII), ("\u1290", Alphabet.GSM7)],
)
def test_what_the_alphabet_lacks_is_refused_and_never_changed(
    text: str, alphabet: Alphabet
) -> None:
    with pytest.raises(NotEncodableError):
        bodies(
            Segments(encoding=Encoding.GSM7, length=2, parts=(text,)),
            alphabet,
            Long.UDH,
            reference=lambda: 0,
        )


@given(ANY_TEXT, st.sampled_from(Long))
def test_no_short_message_is_over_its_octets(text: str, long: Long) -> None:
    """At most 254 octets (SMPP 3.4, 5.2.22), with a header or without."""
    for body in bodies(split(text * 3), Alphabet.GSM7, long, reference=lambda: 9):
        assert len(body.octets) <= 254


def test_references_count_up_for_each_destination() -> None:
    references = References(lambda: 254)

    assert [references.next("a") for _ in range(4)] == [254, 255, 0, 1]
    assert references.next("b") == 254


@pytest.mark.parametrize(
    ("octets", "header"),
    [
        ("0500032a0201", Header(octets=6, part=Part(reference=0x2A, number=1, total=2))),
        ("06080412340202", Header(octets=7, part=Part(reference=0x1234, number=2, total=2))),
        ("0500032a0200", Header(octets=6)),
        ("0500032a0203", Header(octets=6)),
        ("0500032a0101", Header(octets=6)),
        ("03240103", Header(octets=4, shifted=True)),
        ("00", Header(octets=1)),
    ],
)
def test_a_header_is_read(octets: str, header: Header) -> None:
    """TS 23.040, 9.2.3.24; a number outside the total is to be ignored."""
    assert read_header(bytes.fromhex(octets) + b"A3") == header


@pytest.mark.parametrize("octets", ["", "05", "0500032a02", "0500092a0201"])
def test_a_header_that_does_not_fit_is_none(octets: str) -> None:
    assert read_header(bytes.fromhex(octets)) is None


def test_a_written_header_is_read_back() -> None:
    header = read_header(concatenation(200, number=3, total=3) + b"x")

    assert header == Header(octets=6, part=Part(reference=200, number=3, total=3))


AT = datetime(2027, 3, 15, 15, 0, tzinfo=UTC)


def test_an_event_keeps_its_id_until_it_is_acknowledged() -> None:
    marks, content = Marks(), digest("a phone", "A3")
    first = marks.id_of(content, at=AT, now=0)
    again = marks.id_of(content, at=AT.replace(hour=18), now=60)
    marks.finish(first)
    new = marks.id_of(content, at=AT, now=61)

    assert first == again
    assert new != first


def test_a_new_process_knows_an_event_of_this_hour_again() -> None:
    content = digest("a phone", "A3")

    assert Marks().id_of(content, at=AT, now=0) == Marks().id_of(content, at=AT, now=9)
    assert Marks().id_of(content, at=AT, now=0) != Marks().id_of(
        content, at=AT.replace(hour=16), now=0
    )


def test_marks_do_not_grow_without_end() -> None:
    marks = Marks()
    ids = {marks.id_of(digest(number), at=AT, now=0) for number in range(10_050)}

    assert len(ids) == 10_050
    assert marks.id_of(digest(10_049), at=AT, now=0) in ids
