"""Lines as a modem says them, and what each is (3GPP TS 27.005 and TS 27.007)."""

import pytest

from gateway_adapters.serial_modem.lines import LONGEST, Line, LineCutter, Prompt
from gateway_adapters.serial_modem.sorting import Awaited, Kind, Sorted, Sorter

A3 = "0791521500000099040C9152150000001000007230618150902102C119"
A3_LENGTH = len(A3) // 2 - 8
REPORT = "0791521500000099062A0C9152150000001072306181509021723061815002210" + "0"
REPORT_LENGTH = len(REPORT) // 2 - 8
SEND = Awaited(command="AT+CMGS=18", info="+CMGS:", prompt=True)
LIST = Awaited(command="AT+CMGL=4", info="+CMGL:")
READ = Awaited(command="AT+CMGR=1", info="+CMGR:")


def cut(octets: bytes, *, prompt: bool = False) -> list[Line | Prompt]:
    """Return the lines in octets that come one at a time."""
    cutter = LineCutter()
    return [line for octet in octets for line in cutter.feed(bytes([octet]), prompt_awaited=prompt)]


def sort(lines: list[str], awaited: Awaited | None = None) -> list[Sorted]:
    """Return what a sorter makes of lines, in order."""
    sorter = Sorter()
    return [item for line in lines for item in sorter.sort(Line(text=line), awaited)]


@pytest.mark.parametrize(
    "octets",
    [
        b"\r\nOK\r\n\r\n+CMGS: 7\r\n",
        b"OK\r+CMGS: 7\r",
        b"OK\r\r\n+CMGS: 7\r\r\n",
        b"OK\n+CMGS: 7\n",
    ],
    ids=["CR LF", "CR", "CR CR LF", "LF"],
)
def test_lines_end_in_any_way(octets: bytes) -> None:
    assert cut(octets) == [Line(text="OK"), Line(text="+CMGS: 7")]


def test_a_prompt_is_seen_without_a_line_end_and_only_where_one_is_awaited() -> None:
    assert cut(b"\r\n> ", prompt=True) == [Prompt()]
    assert cut(b"\r\n> ") == []
    assert cut(b"a> \r\n", prompt=True) == [Line(text="a> ")]


def test_octets_outside_ascii_are_dropped_and_counted() -> None:
    cutter = LineCutter()

    lines = cutter.feed(b"\x00O\xffK\x07\r\n", prompt_awaited=False)

    assert lines == [Line(text="OK")]
    assert cutter.dropped == 3


def test_a_line_is_kept_up_to_its_limit_and_the_next_one_is_whole() -> None:
    cutter = LineCutter()

    lines = cutter.feed(b"x" * 1024 + b"\r" + b"y" * 4096 + b"\rOK\r", prompt_awaited=False)

    assert lines == [Line(text="x" * 1024), Line(text="y" * 1024, is_cut=True), Line(text="OK")]
    assert (LONGEST, cutter.dropped, cutter.cut) == (1024, 3072, 1)


def test_half_a_line_waits_for_its_end() -> None:
    cutter = LineCutter()

    assert cutter.feed(b"\r\n+CM", prompt_awaited=False) == []
    assert cutter.feed(b"GS: 7\r", prompt_awaited=False) == [Line(text="+CMGS: 7")]


KINDS = [
    pytest.param("OK", LIST, Kind.FINAL, id="ok"),
    pytest.param("ERROR", LIST, Kind.FINAL, id="bare error"),
    pytest.param("+CMS ERROR: 500", LIST, Kind.FINAL, id="cms error"),
    pytest.param("+CME ERROR: 10", LIST, Kind.FINAL, id="cme error"),
    pytest.param("OK", None, Kind.NOISE, id="ok that nobody awaits"),
    pytest.param("+CMGS: 7", SEND, Kind.INFO, id="its own line"),
    pytest.param("+CMGS: 7", LIST, Kind.NOISE, id="another's line"),
    pytest.param("AT+CMGS=18", SEND, Kind.ECHO, id="echo"),
    pytest.param('+CMTI: "SM",3', SEND, Kind.NOTICE, id="text announced in between"),
    pytest.param('+CDSI: "SM",3', None, Kind.NOTICE, id="report announced"),
    pytest.param("RING", SEND, Kind.NOTICE, id="a call"),
    pytest.param("^RSSI:17", None, Kind.NOTICE, id="a vendor's notice"),
    pytest.param("^SYSSTART", SEND, Kind.BOOT, id="a start"),
    pytest.param("RDY", None, Kind.BOOT, id="another start"),
    pytest.param("+CREG: 5", Awaited(command="AT+CREG?", info="+CREG:"), Kind.NOTICE, id="moved"),
    pytest.param(
        '+CREG: 1,"00C3","0E1F"',
        Awaited(command="AT+CREG?", info="+CREG:"),
        Kind.NOTICE,
        id="moved, with the place",
    ),
    pytest.param(
        "+CREG: 0,1", Awaited(command="AT+CREG?", info="+CREG:"), Kind.INFO, id="registration"
    ),
    pytest.param("+CPIN: READY", None, Kind.NOTICE, id="SIM ready"),
    pytest.param("hello", SEND, Kind.NOISE, id="noise"),
    pytest.param("00FF", None, Kind.NOISE, id="hex that nobody announced"),
]


@pytest.mark.parametrize(("line", "awaited", "kind"), KINDS)
def test_what_a_line_is(line: str, awaited: Awaited | None, kind: Kind) -> None:
    assert sort([line], awaited) == [Sorted(kind=kind, text=line)]


def test_a_cut_line_is_noise_whatever_it_begins_with() -> None:
    assert Sorter().sort(Line(text="OK", is_cut=True), LIST)[0].kind is Kind.NOISE


def test_a_row_of_the_list_comes_with_its_pdu() -> None:
    header = f"+CMGL: 3,0,,{A3_LENGTH}"

    assert sort([header, A3, "OK"], LIST) == [
        Sorted(kind=Kind.INFO, text=header, pdu=A3),
        Sorted(kind=Kind.FINAL, text="OK"),
    ]


def test_a_report_between_a_row_and_its_pdu_goes_its_own_way() -> None:
    row, notice = f"+CMGR: 0,,{A3_LENGTH}", f"+CDS: {REPORT_LENGTH}"

    assert sort([row, notice, REPORT, A3, "OK"], READ) == [
        Sorted(kind=Kind.NOTICE, text=notice, pdu=REPORT),
        Sorted(kind=Kind.INFO, text=row, pdu=A3),
        Sorted(kind=Kind.FINAL, text="OK"),
    ]


def test_a_report_whose_pdu_was_lost_takes_no_other_pdu_of_its_length() -> None:
    row, notice = f"+CMGL: 1,0,,{A3_LENGTH}", f"+CMT: ,{A3_LENGTH}"

    assert sort([notice, row, A3, "OK"], LIST) == [
        Sorted(kind=Kind.NOISE, text=notice),
        Sorted(kind=Kind.INFO, text=row, pdu=A3),
        Sorted(kind=Kind.FINAL, text="OK"),
    ]


def test_two_reports_in_a_row_are_both_seen() -> None:
    notice = f"+CDS: {REPORT_LENGTH}"

    assert sort([notice, REPORT, notice, REPORT]) == 2 * [
        Sorted(kind=Kind.NOTICE, text=notice, pdu=REPORT)
    ]


def test_a_row_whose_pdu_is_damaged_is_left_out_and_the_next_one_is_read() -> None:
    first, second = f"+CMGL: 1,0,,{A3_LENGTH}", f"+CMGL: 2,0,,{A3_LENGTH}"

    found = sort([first, A3[:-2], second, A3, "OK"], LIST)

    assert [(item.kind, item.text) for item in found] == [
        (Kind.NOISE, A3[:-2]),
        (Kind.NOISE, first),
        (Kind.INFO, second),
        (Kind.FINAL, "OK"),
    ]
