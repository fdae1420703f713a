"""Texts in every coding, their headers, and national tables (3GPP TS 23.038 and TS 23.040)."""

import gsmcodecs
import pytest

from gateway_adapters import gsm7
from gateway_adapters.errors import MalformedPduError
from gateway_adapters.events import Part
from gateway_adapters.serial_modem import national
from gateway_adapters.serial_modem.incoming_pdu import OtherPdu, read_pdu
from gateway_adapters.serial_modem.octets import Octets, number_octets, read_address, read_time
from gateway_adapters.serial_modem.user_data import UserData, read_user_data

A3 = bytes.fromhex("C119")
CODINGS = [
    *(pytest.param(coding, id=f"{coding:02X}") for coding in (0x00, 0x01, 0x10, 0x0C, 0x40, 0xC8)),
    *(pytest.param(coding, id=f"{coding:02X}") for coding in (0x80, 0xB8, 0xD0, 0xF0, 0xF3)),
]


def read(
    octets: bytes, *, length: int | None = None, coding: int = 0, has_header: bool = False
) -> UserData:
    """Return what user data says; without a length it is that of the octets."""
    return read_user_data(
        octets,
        length=len(octets) if length is None else length,
        coding=coding,
        has_header=has_header,
    )


@pytest.mark.parametrize("coding", CODINGS)
def test_the_default_alphabet_under_each_coding_that_means_it(coding: int) -> None:
    """TS 23.038, clause 4; reserved groups are read as the default alphabet."""
    assert read(A3, length=2, coding=coding) == UserData(text="A3", lossy=False)


@pytest.mark.parametrize("coding", [0x08, 0x18, 0x48, 0xE0], ids=["08", "18", "48", "E0"])
def test_ucs2_under_each_coding_that_means_it(coding: int) -> None:
    assert read("ነገ 🌱".encode("utf-16-be"), coding=coding).text == "ነገ 🌱"


@pytest.mark.parametrize("coding", [0x04, 0xF4, 0xF7], ids=["04", "F4", "F7"])
def test_eight_bit_data_is_read_as_ascii_and_the_rest_is_shown_as_unreadable(coding: int) -> None:
    assert read(b"A3 NO", coding=coding) == UserData(text="A3 NO", lossy=False)
    assert read(b"A\xe93", coding=coding) == UserData(text="A\ufffd3", lossy=True)


def test_a_compressed_text_is_unreadable() -> None:
    assert read(A3, coding=0x20) == UserData(text="\ufffd", lossy=True)


@pytest.mark.parametrize(
    ("octets", "text"),
    [
        pytest.param(b"\xd8\x3c\x00A", "\ufffdA", id="first half alone"),
        pytest.param(b"\x00A\xdf\x31", "A\ufffd", id="second half alone"),
        pytest.param(b"\x00A\x00", "A\ufffd", id="odd octet"),
    ],
)
def test_half_a_character_is_shown_as_unreadable(octets: bytes, text: str) -> None:
    assert read(octets, coding=0x08) == UserData(text=text, lossy=True)


HEADERS = [
    pytest.param("0500031102 01", Part(reference=17, number=1, total=2), id="8-bit reference"),
    pytest.param("06080412340202", Part(reference=0x1234, number=2, total=2), id="16-bit"),
    pytest.param("0500031102 00", None, id="number 0"),
    pytest.param("0500031102 03", None, id="number over total"),
    pytest.param("0500030000 01", None, id="no parts"),
    pytest.param("0B0504158A0000 0003110201", Part(reference=17, number=1, total=2), id="ports"),
    pytest.param("0A0003110201 0003220303", Part(reference=34, number=3, total=3), id="the later"),
    pytest.param("04 0002 1102", None, id="an element of another length"),
    pytest.param("00", None, id="empty"),
]


@pytest.mark.parametrize(("header", "part"), HEADERS)
def test_a_header_is_read_and_does_not_become_text(header: str, part: Part | None) -> None:
    """TS 23.040, 9.2.3.24: an impossible part is ignored, of two elements the later one counts."""
    octets = bytes.fromhex(header)

    assert read(octets + b"\x00A\x003", coding=0x08, has_header=True) == UserData(
        text="A3", lossy=False, part=part
    )


@pytest.mark.parametrize("size", range(8), ids=str)
def test_a_text_behind_a_header_of_any_length_starts_on_a_septet(size: int) -> None:
    header = bytes([2 + size, 0x70, size]) + bytes(size)
    fill = gsm7.fill_bits(len(header))
    octets = header + gsm7.pack(gsm7.encode("Jibu A3"), fill=fill)
    length = (8 * len(header) + fill) // 7 + 7

    assert read(octets, length=length, has_header=True).text == "Jibu A3"


BROKEN = [
    pytest.param("05000311", 4, 0x08, id="header longer than the text"),
    pytest.param("0500041102 01", 6, 0x08, id="element longer than the header"),
    pytest.param("", 0, 0x08, id="no header at all"),
    pytest.param("05000311020141", 6, 0x00, id="fewer septets than the header takes"),
]


@pytest.mark.parametrize(("octets", "length", "coding"), BROKEN)
def test_a_broken_header_is_refused(octets: str, length: int, coding: int) -> None:
    with pytest.raises(MalformedPduError):
        read(bytes.fromhex(octets), length=length, coding=coding, has_header=True)


def test_a_text_shorter_than_its_length_is_refused_and_a_longer_one_is_cut() -> None:
    with pytest.raises(MalformedPduError):
        read(A3, length=3, coding=0)

    assert read(A3 + b"\xff", length=2, coding=0).text == "A3"


@pytest.mark.parametrize("language", [1, 2, 3], ids=["Turkish", "Spanish", "Portuguese"])
def test_national_tables_are_those_of_another_library(language: int) -> None:
    """The package gsmcodecs, made from TS 23.038 version 18; annex A.

    Where it has no character at all, the basic one of that code is shown (6.2.1.1).
    """
    assert gsmcodecs.GSMCHARMAPS
    for code in range(128):
        if code == gsm7.ESCAPE:
            continue
        if language != 2:
            table = f"gsm23.038-{language}-0"
            assert national.decode(bytes([code]), locking=language, single=0) == (
                bytes([code]).decode(table),
                True,
            )
        single = gsmcodecs.GSMCHARMAPS[language]["singleShift"]["decode"].get(code)
        shown, known = national.decode(bytes([gsm7.ESCAPE, code]), locking=0, single=language)
        assert known
        assert shown == (gsm7.decode(bytes([code])) if single is None else chr(single))


NATIONAL = [
    pytest.param("61097B6F", "250103240103", "ação", False, id="Portuguese, both"),
    pytest.param("611B091B7B6F", "240103", "ação", False, id="Portuguese, single"),
    pytest.param("61731B69", "240102", "así", False, id="Spanish"),
    pytest.param("6173", "240107", "as", True, id="a table not known here"),
    pytest.param("6173", "25010D", "as", True, id="another one"),
]


@pytest.mark.parametrize(("septets", "elements", "text", "lossy"), NATIONAL)
def test_a_text_in_a_national_table(septets: str, elements: str, text: str, *, lossy: bool) -> None:
    codes, header = bytes.fromhex(septets), bytes.fromhex(elements)
    header = bytes([len(header)]) + header
    fill = gsm7.fill_bits(len(header))
    octets = header + gsm7.pack(codes, fill=fill)
    length = (8 * len(header) + fill) // 7 + len(codes)

    assert read(octets, length=length, has_header=True) == UserData(text=text, lossy=lossy)


@pytest.mark.parametrize(
    ("field", "address"),
    [
        pytest.param("0C91521500000010", "+255100000001", id="international"),
        pytest.param("0481 5110", "1501", id="short code"),
        pytest.param("0581 5110F0", "15010", id="odd length"),
        pytest.param("0AA1 7010000000", "0701000000", id="national"),
        pytest.param("0481 BA10", "*#01", id="signs"),
        pytest.param("00 81", "", id="none"),
        pytest.param("0BD0 CDE6DB5DCE03", "MMoney", id="six letters"),
        pytest.param("14D0 C4F23C7D760390EF7619", "Design@Home", id="eleven letters"),
    ],
)
def test_an_address(field: str, address: str) -> None:
    """TS 23.040, 9.1.2.5; the names are the examples of the package smspdudecoder."""
    assert read_address(Octets(bytes.fromhex(field))) == address


@pytest.mark.parametrize("number", ["", "+", "+25510000000a", "٢٥٥", "1" * 21, "++1"])
def test_what_is_no_number_is_not_written(number: str) -> None:
    with pytest.raises(ValueError, match="1 to 20 digits"):
        number_octets(number)


@pytest.mark.parametrize("stamp", ["00000000000000", "72316181509021", "FFFFFFFFFFFFFF"])
def test_a_time_that_does_not_exist_is_none(stamp: str) -> None:
    assert read_time(Octets(bytes.fromhex(stamp))) is None


@pytest.mark.parametrize(
    "line", ["", "0", "zz", "07", "0791521500000099", "0791521500000099040C91", "04" * 200]
)
def test_what_is_no_pdu_is_refused(line: str) -> None:
    with pytest.raises(MalformedPduError):
        read_pdu(line)


def test_a_text_of_our_own_kept_on_the_sim_is_neither_text_nor_report() -> None:
    assert read_pdu("0031000C9152150000001000008F02C119") == OtherPdu()
