"""Octets from the wire, sound and unsound: nothing crashes, nothing grows, nothing is believed."""

import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.errors import MalformedPduError
from gateway_adapters.smpp.alphabets import Alphabet
from gateway_adapters.smpp.codec import Pdu, read
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.frames import LONGEST, SHORTEST, Frames
from gateway_adapters.smpp.headers import read_header
from gateway_adapters.smpp.inbound import read_text
from gateway_adapters.smpp.layout import HEADER
from gateway_adapters.smpp.receipts import is_receipt, read_receipt
from tests.peers.dice import Dice

SEED = 20270315
BODY = bytes.fromhex("000101323535313030000300313530353000000000") + bytes(6)
KINDS = [command.value for command in Command]


def a_pdu(command: int, body: bytes, *, status: int = 0) -> bytes:
    """Return a PDU of this body."""
    return HEADER.pack(HEADER.size + len(body), command, status, 7) + body


def a_delivery(text: bytes, parameters: bytes = b"", *, said: int | None = None) -> bytes:
    """Return a deliver_sm; `said` is an sm_length that may lie."""
    length = len(text) if said is None else said
    return a_pdu(Command.DELIVER_SM, BODY + bytes([length]) + text + parameters)


def tlv(tag: int, value: bytes) -> bytes:
    """Return a parameter."""
    return tag.to_bytes(2) + len(value).to_bytes(2) + value


def use(pdu: Pdu) -> None:
    """Do with a PDU all that the session does before it keeps anything."""
    if pdu.delivery is not None:
        is_receipt(pdu.delivery, untyped=True)
        read_receipt(pdu.delivery)
        for alphabet in Alphabet:
            read_text(pdu.delivery, alphabet, country_code="255")


@given(st.binary(max_size=600), st.sampled_from(KINDS))
def test_any_octets_behind_a_header_have_a_reading(body: bytes, command: int) -> None:
    pdu = read(a_pdu(command, body))

    use(pdu)
    assert (pdu.command, pdu.sequence) == (command, 7)


@given(st.binary(max_size=300))
def test_any_octets_at_all_are_read_or_refused(octets: bytes) -> None:
    if len(octets) < SHORTEST:
        with pytest.raises(MalformedPduError):
            read(octets)
    else:
        use(read(octets))


@given(st.binary(max_size=300), st.binary(max_size=60))
def test_reading_twice_gives_the_same(text: bytes, parameters: bytes) -> None:
    octets = a_delivery(text[:254], parameters)

    first, second = read(octets), read(octets)

    assert first == second


@pytest.mark.slow
def test_a_hundred_thousand_spoilt_pdus_are_survived() -> None:
    """Sound PDUs with some octets changed, put in or cut off, by fixed dice; memory stays."""
    dice = Dice(SEED)
    sound = [
        a_delivery(b"id:1 stat:DELIVRD", tlv(0x1E, b"1f2e3d\0") + tlv(0x427, b"\2")),
        a_delivery(b"\5\0\3\1\2\1A3"),
        a_pdu(Command.SUBMIT_SM_RESP, b"1f2e3d\0"),
        a_pdu(Command.QUERY_SM_RESP, b"1f2e3d\0\0\2\0"),
        a_pdu(Command.BIND_TRANSCEIVER_RESP, b"peer\0" + tlv(0x210, b"\x34")),
        a_pdu(Command.ENQUIRE_LINK, b""),
    ]
    before = 0
    for turn in range(100_000):
        if turn == 99_000:
            tracemalloc.start()
            before = tracemalloc.get_traced_memory()[0]
        octets = bytearray(dice.pick(sound))
        for _ in range(dice.between(1, 4)):
            at = dice.between(0, len(octets) - 1)
            if dice.happens(60):
                octets[at] = dice.between(0, 255)
            elif dice.happens(50):
                octets.insert(at, dice.between(0, 255))
            elif len(octets) > SHORTEST:
                del octets[at]
        use(read(bytes(octets)))
    after = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()

    assert after - before < 200_000


@given(st.lists(st.binary(max_size=80), max_size=8), st.lists(st.integers(1, 40), max_size=20))
def test_pdus_are_cut_alike_however_they_arrive(bodies: list[bytes], cuts: list[int]) -> None:
    pdus = [a_pdu(Command.DELIVER_SM, body) for body in bodies]
    stream, frames, got = b"".join(pdus), Frames(), []
    for cut in [*cuts, len(stream)]:
        piece, stream = stream[:cut], stream[cut:]
        got += frames.feed(piece)

    assert got == pdus
    assert frames.waiting == 0


@pytest.mark.parametrize("length", [0, 15, LONGEST + 1, 0x7FFFFFFF, 0xFFFFFFFF])
def test_a_length_that_cannot_be_ends_the_stream(length: int) -> None:
    frames = Frames()
    first = a_pdu(Command.UNBIND, b"")

    assert frames.feed(first + length.to_bytes(4) + bytes(12)) == [first]
    with pytest.raises(MalformedPduError):
        frames.feed(b"")
    assert frames.waiting == 0


def test_a_claimed_length_allocates_nothing() -> None:
    frames = Frames()
    tracemalloc.start()
    frames.feed(LONGEST.to_bytes(4))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert frames.waiting == 4
    assert most < 5_000


@given(st.binary(max_size=400))
def test_the_reader_of_a_stream_keeps_no_more_than_a_pdu(octets: bytes) -> None:
    frames = Frames()
    try:
        frames.feed(octets)
    except MalformedPduError:
        assert frames.waiting == 0
    assert frames.waiting <= max(len(octets), LONGEST)


@pytest.mark.parametrize(
    "octets",
    [
        a_delivery(b"A3", said=200),
        a_delivery(b"A3", said=1),
        a_delivery(b"A3", tlv(0x1E, b"1")[:-1]),
        a_pdu(Command.DELIVER_SM, BODY[:10]),
        a_pdu(Command.DELIVER_SM, b""),
        a_pdu(Command.SUBMIT_SM_RESP, b"1f2e3d"),
        a_pdu(Command.SUBMIT_SM_RESP, b"1" * 65 + b"\0"),
        a_pdu(Command.QUERY_SM_RESP, b"1f2e3d\0\0"),
    ],
    ids=[
        "sm_length too long", "sm_length too short", "torn parameter", "torn address",
        "no body", "no NUL", "long id", "no state",
    ],
)  # fmt: skip
def test_what_does_not_end_inside_its_pdu_is_not_believed(octets: bytes) -> None:
    pdu = read(octets)

    assert pdu.unreadable
    assert (pdu.message_id, pdu.delivery) == (None, None)


@pytest.mark.parametrize(
    "parameters",
    [
        tlv(0x1401, b"vendor"),
        tlv(0x0501, b"\1"),
        tlv(0x0427, b"\0\0\0\2"),
        tlv(0x130C, b"\1"),
        tlv(0x0204, b""),
        b"\0\0",
    ],
    ids=["vendor", "of another PDU", "unusual length", "flag with a value", "empty", "padding"],
)
def test_a_parameter_that_the_codec_cannot_read_is_left_out(parameters: bytes) -> None:
    """SMPP 3.4, 3.3: parameters that are not known are to be passed over."""
    known = tlv(0x1E, b"1f2e3d\0")
    delivery = read(a_delivery(b"A3", known + parameters)).delivery

    assert delivery is not None
    assert (delivery.text, delivery.receipted_id, delivery.message_state) == (b"A3", "1f2e3d", None)


def test_an_id_without_its_nul_keeps_its_last_letter() -> None:
    """Some centres leave the NUL of a parameter out; common practice, no source."""
    delivery = read(a_delivery(b"", tlv(0x1E, b"1f2e3d"))).delivery

    assert delivery is not None
    assert delivery.receipted_id == "1f2e3d"


@given(st.binary(max_size=40))
def test_any_header_is_read_or_left(octets: bytes) -> None:
    header = read_header(octets)

    assert header is None or header.octets <= len(octets)
