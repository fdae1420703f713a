"""Whatever a modem says: no crash, no growth, and what is said rightly afterwards is understood."""

import sys
from collections.abc import Iterator
from hashlib import sha256

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gateway_adapters.errors import MalformedPduError
from gateway_adapters.events import Inbound, Receipt
from gateway_adapters.serial_modem.arrivals import Arrivals
from gateway_adapters.serial_modem.codes import after_text, before_text, read_refusal
from gateway_adapters.serial_modem.incoming_pdu import (
    Deliver,
    OtherPdu,
    StatusReport,
    is_hex,
    read_pdu,
    tpdu_length,
)
from gateway_adapters.serial_modem.journal import Journal
from gateway_adapters.serial_modem.ledger import Ledger
from gateway_adapters.serial_modem.lines import LONGEST, Line, LineCutter, Prompt
from gateway_adapters.serial_modem.octets import Octets, read_address, read_time
from gateway_adapters.serial_modem.records import read_record
from gateway_adapters.serial_modem.sorting import Awaited, Kind, Sorted, Sorter
from gateway_adapters.serial_modem.user_data import read_user_data
from tests.outgoing import EVENING, StoppedClock

LOOPS = 100_000
A3 = "0791521500000099040C9152150000001000007230618150902102C119"
REPORT = "0791521500000099062A0C91521500000010723061815090217230618150022100"
ROW = f"+CMGL: 1,0,,{len(A3) // 2 - 8}"
LIST = Awaited(command="AT+CMGL=4", info="+CMGL:")
SENDING = Awaited(command="AT+CMGS=18", info="+CMGS:", prompt=True)
WORDS = [
    *("OK", "ERROR", "> ", "+CMS ERROR: 500", "+CDS: 26", "+CMT: ,21", ROW, A3, REPORT, "RDY"),
    *('+CMTI: "SM",1', "+CREG: 0,1", "+CMGS: 7", "AT+CMGL=4", "^SYSSTART", "+CMGL: 1,0,,", "00"),
]
CHATTER = st.lists(
    st.sampled_from(WORDS).map(lambda word: word.encode("ascii") + b"\r\n") | st.binary(max_size=40)
).map(b"".join)


def read_any(octets: bytes) -> None:
    """Read octets as every kind of PDU; only a refusal of their own kind may come of it."""
    try:
        read = read_pdu(octets.hex())
    except MalformedPduError:
        return
    assert isinstance(read, Deliver | StatusReport | OtherPdu)
    if isinstance(read, Deliver):
        read.data.text.encode("utf-8")  # no half characters, which no database takes
        assert len(read.data.text) <= 160
        part = read.data.part
        assert part is None or 1 <= part.number <= part.total <= 255


def an_arrivals() -> Arrivals:
    clock = StoppedClock()
    return Arrivals(Ledger(Journal(None), clock), clock, own_number="")


@given(octets=st.binary(max_size=200))
@example(octets=bytes.fromhex(A3))
@example(octets=bytes.fromhex(REPORT))
def test_any_octets_as_a_pdu(octets: bytes) -> None:
    read_any(octets)


@given(
    start=st.sampled_from([A3[:16] + "04", A3[:16] + "44", A3[:16] + "06", "0004", "0044"]),
    rest=st.binary(max_size=180),
)
def test_any_octets_behind_a_right_beginning(start: str, rest: bytes) -> None:
    read_any(bytes.fromhex(start) + rest)


@given(place=st.integers(0, len(A3) // 2 - 1), value=st.integers(0, 255))
def test_a_right_pdu_with_one_octet_changed(place: int, value: int) -> None:
    for right in (A3, REPORT):
        octets = bytearray.fromhex(right)
        octets[min(place, len(octets) - 1)] = value
        read_any(bytes(octets))


@given(
    octets=st.binary(max_size=180),
    length=st.integers(0, 255),
    coding=st.integers(0, 255),
    has_header=st.booleans(),
)
def test_any_octets_as_user_data(
    octets: bytes, length: int, coding: int, *, has_header: bool
) -> None:
    try:
        data = read_user_data(octets, length=length, coding=coding, has_header=has_header)
    except MalformedPduError:
        return

    data.text.encode("utf-8")
    assert len(data.text) <= 255


@given(octets=st.binary(max_size=30))
def test_any_octets_as_an_address_and_as_a_time(octets: bytes) -> None:
    for read in (read_address, read_time):
        try:
            read(Octets(octets))
        except MalformedPduError:
            continue


@given(line=st.text(max_size=60))
def test_any_line_as_anything(line: str) -> None:
    read_record(line)
    refusal = read_refusal(line)
    before_text(refusal)
    after_text(refusal)
    if is_hex(line):
        tpdu_length(line)


@given(pdu=st.binary(max_size=180).map(bytes.hex) | st.text(max_size=60))
def test_any_pdu_becomes_at_most_an_event_that_can_be_stored(pdu: str) -> None:
    for event in an_arrivals().events(pdu):
        assert len(event.event_id) <= 120
        match event:
            case Inbound():
                event.text.encode("utf-8")
                assert event.received_at == EVENING
            case Receipt():
                assert len(event.gateway_id) <= 80
                assert event.gateway_id.startswith("unmatched-")
            case _:
                raise AssertionError(event)


@given(chatter=CHATTER, sizes=st.lists(st.integers(1, 7), max_size=20))
def test_any_chatter_leaves_the_next_right_lines_understood(
    chatter: bytes, sizes: list[int]
) -> None:
    """In pieces of any size; a list asked for afterwards is read to its end."""
    cutter, sorter = LineCutter(), Sorter()
    pieces = []
    for size in sizes:
        pieces.append(chatter[:size])
        chatter = chatter[size:]
    for awaited in (None, SENDING):
        for piece in (*pieces, chatter, b"\r\n"):
            for line in cutter.feed(piece, prompt_awaited=awaited is not None):
                for item in sorter.sort(line, awaited):
                    assert len(item.text) <= LONGEST

    assert understood(cutter, sorter) == [
        Sorted(kind=Kind.INFO, text=ROW, pdu=A3),
        Sorted(kind=Kind.FINAL, text="OK"),
    ]


def understood(cutter: LineCutter, sorter: Sorter) -> list[Sorted]:
    """Return what is made of a list of one text, without the headers that it pushes out."""
    octets = f"\r\n{ROW}\r\n{A3}\r\n\r\nOK\r\n".encode("ascii")
    found = [
        item
        for line in cutter.feed(octets, prompt_awaited=False)
        for item in sorter.sort(line, LIST)
    ]
    return [item for item in found if item.kind is not Kind.NOISE]


def short_inputs() -> Iterator[bytes]:
    """Yield inputs of 0 to 31 octets that only a fixed seed decides."""
    for number in range(LOOPS):
        digest = sha256(b"a fixed seed" + number.to_bytes(8, "big")).digest()
        yield digest[1 : 1 + digest[0] % 32]


@pytest.mark.slow
def test_a_hundred_thousand_short_inputs_to_each_parser() -> None:
    cutter, sorter = LineCutter(), Sorter()
    kinds: set[Kind] = set()
    for octets in short_inputs():
        read_any(octets)
        read_any(bytes.fromhex(A3[:18]) + octets)
        for line in cutter.feed(octets, prompt_awaited=True):
            kinds |= {item.kind for item in sorter.sort(line, SENDING)}
        text = octets.decode("latin-1")
        read_refusal(text)
        read_record(text)

    cutter.feed(b"\r", prompt_awaited=False)
    assert kinds <= set(Kind)
    assert sys.getsizeof(cutter._kept) < 2 * LONGEST  # noqa: SLF001 -- what must stay bounded
    assert understood(cutter, sorter)[-1] == Sorted(kind=Kind.FINAL, text="OK")


def test_a_line_without_end_does_not_grow() -> None:
    cutter = LineCutter()
    for _ in range(1000):
        cutter.feed(b"x" * 1000, prompt_awaited=False)

    assert sys.getsizeof(cutter._kept) < 2 * LONGEST  # noqa: SLF001 -- what must stay bounded
    assert cutter.feed(b"\r", prompt_awaited=False) == [Line(text="x" * LONGEST, is_cut=True)]


def test_prompts_without_end_do_not_grow() -> None:
    cutter = LineCutter()

    assert cutter.feed(b"> " * 1000, prompt_awaited=True) == 1000 * [Prompt()]
    assert len(cutter._kept) == 0  # noqa: SLF001 -- what must stay bounded
