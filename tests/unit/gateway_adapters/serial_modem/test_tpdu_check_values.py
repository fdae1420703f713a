"""TPDUs octet for octet.

The rows were had by running an own coder and python-gsmmodem-new over the same texts, and reading
the results back with smspdudecoder; the rules are those of 3GPP TS 23.040 and TS 23.038.
"""

import hashlib
from datetime import UTC, datetime

import pytest

from gateway_adapters.contract import Encoding
from gateway_adapters.events import Part, ReceiptState
from gateway_adapters.segments import split
from gateway_adapters.serial_modem.codes import state_of_status
from gateway_adapters.serial_modem.incoming_pdu import Deliver, StatusReport, read_pdu
from gateway_adapters.serial_modem.submit_pdu import Submit, encode_submit, hex_line
from tests.outgoing import PHONE

DAY, HALF_DAY = 0xA7, 0x8F
LONG = "a" * 152 + "€" + "b" * 10
ALONE = [
    pytest.param(
        "Jibu A3 ukimaliza.",
        DAY,
        30,
        "0031000C915215000000100000A712CAB4B80E0ACE40F575BA1D66A7F56117",
        id="a reminder",
    ),
    pytest.param(
        "[A3] 5€", None, 22, "0021000C9152150000001000000A1B5E70B6F1816A9B32", id="no validity"
    ),
    pytest.param("A3", HALF_DAY, 16, "0031000C9152150000001000008F02C119", id="half a day"),
    pytest.param(
        "Ng\u2019ombe",
        DAY,
        28,
        "0031000C915215000000100008A70E004E00672019006F006D00620065",
        id="curly apostrophe",
    ),
    pytest.param("ነገ", DAY, 18, "0031000C915215000000100008A70412901308", id="ethiopic"),
]
PARTS = [
    pytest.param(
        LONG,
        1,
        154,
        "00712A0C915215000000100000A79F0500032A0201C2E170",
        "c3e10d44f0af4eda",
        id="escape pair at the seam, part 1",
    ),
    pytest.param(
        LONG,
        2,
        31,
        "00712A0C915215000000100000A7130500032A02023665B1582C168BC562B118",
        "",
        id="escape pair at the seam, part 2",
    ),
    pytest.param(
        "ŋ" * 71,
        1,
        154,
        "00712A0C915215000000100008A78C0500032A0201014B",
        "12a1083b79fd740e",
        id="ucs-2, part 1",
    ),
    pytest.param(
        "ŋ" * 71,
        2,
        28,
        "00712A0C915215000000100008A70E0500032A0202014B014B014B014B",
        "",
        id="ucs-2, part 2",
    ),
]
CENTRE = "0791521500000099"
SENT_AT = datetime(2027, 3, 16, 15, 5, 9, tzinfo=UTC)


def _hash(line: str) -> str:
    return hashlib.sha256(line.encode()).hexdigest()[:16]


@pytest.mark.parametrize(("text", "validity", "length", "line"), ALONE)
def test_a_whole_text_as_it_is_typed(
    text: str, validity: int | None, length: int, line: str
) -> None:
    tpdu = encode_submit(
        Submit(to=PHONE, text=text, encoding=split(text).encoding, validity=validity)
    )

    assert (len(tpdu), hex_line(tpdu)) == (length, line)


def test_a_full_part() -> None:
    tpdu = encode_submit(Submit(to=PHONE, text="a" * 160, encoding=Encoding.GSM7, validity=DAY))

    assert len(tpdu) == 154
    assert hex_line(tpdu).startswith("0031000C915215000000100000A7A0E170381C")
    assert _hash(hex_line(tpdu)) == "6c371903fec30853"


@pytest.mark.parametrize(("text", "number", "length", "start", "digest"), PARTS)
def test_a_part_of_a_long_text(
    text: str, number: int, length: int, start: str, digest: str
) -> None:
    """Message reference and concatenation reference are both 2A."""
    segments = split(text)

    tpdu = encode_submit(
        Submit(
            to=PHONE,
            text=segments.parts[number - 1],
            encoding=segments.encoding,
            validity=DAY,
            part=Part(reference=0x2A, number=number, total=2),
            message_reference=0x2A,
        )
    )

    line = hex_line(tpdu)
    assert len(tpdu) == length
    assert line.startswith(start)
    assert _hash(line) == digest if digest else line == start


DELIVERED = [
    pytest.param("040C9152150000001000007230618150902102C119", PHONE, "A3", None, id="whole"),
    pytest.param(
        "440C91521500000010000072306181509021120500031102019CE976B91D66A7F56110",
        PHONE,
        "Nimemaliza ",
        Part(reference=0x11, number=1, total=2),
        id="8-bit reference",
    ),
    pytest.param(
        "440C915215000000100000723061815090210A06080412340202C119",
        PHONE,
        "A3",
        Part(reference=0x1234, number=2, total=2),
        id="16-bit reference",
    ),
    pytest.param(
        "040DD04D6AD0490C3E0100007230618150902109D3303BFD06D56030",
        "MTANDAO",
        "Salio 500",
        None,
        id="a name",
    ),
]


@pytest.mark.parametrize(("tpdu", "sender", "text", "part"), DELIVERED)
def test_a_text_that_came_in(tpdu: str, sender: str, text: str, part: Part | None) -> None:
    read = read_pdu(CENTRE + tpdu)

    assert isinstance(read, Deliver)
    assert (read.sender, read.sent_at) == (sender, SENT_AT)
    assert (read.data.text, read.data.part, read.data.lossy) == (text, part, False)


STATES = [
    *((status, ReceiptState.DELIVERED) for status in (0x00,)),
    *((status, ReceiptState.SUBMITTED) for status in (0x01, 0x02, *range(0x20, 0x40))),
    (0x46, ReceiptState.EXPIRED),
    *(
        (status, ReceiptState.FAILED)
        for status in (*range(0x40, 0x46), *range(0x47, 0x60), *range(0x60, 0x80))
    ),
    *((status, ReceiptState.UNKNOWN) for status in (*range(0x03, 0x20), *range(0x80, 0x100))),
]


def test_every_status_of_a_report() -> None:
    """TS 23.040, 9.2.3.15."""
    assert sorted(status for status, _ in STATES) == list(range(256))
    for status, state in STATES:
        read = read_pdu(f"{CENTRE}062A0C915215000000107230618150902172306181500221{status:02X}")

        assert isinstance(read, StatusReport)
        assert (read.reference, read.to, read.status) == (42, PHONE, status)
        assert read.done_at == datetime(2027, 3, 16, 15, 5, 20, tzinfo=UTC)
        assert state_of_status(status) is state
