"""What is refused before it gets a turn, and how long texts are numbered."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.contract import Encoding, Rejected, RejectKind, Scope, Segments
from gateway_adapters.serial_modem.turns import References, Turn, next_tpdu, refusal_of
from tests.gateways.serial_modem_line import read_sent
from tests.outgoing import OTHER_PHONE, PHONE, an_outgoing

DAY_S = 86_400.0
GSM7 = Encoding.GSM7


def parts(*texts: str, encoding: Encoding = GSM7) -> Segments:
    return Segments(encoding=encoding, length=sum(map(len, texts)), parts=texts)


REFUSED = [
    pytest.param("ab", parts("a", "c"), "parts-differ", id="other parts"),
    pytest.param("", parts(), "parts-differ", id="no text"),
    pytest.param("ŋ", parts("ŋ"), "not-encodable", id="outside the alphabet"),
    pytest.param(
        "\ud83c", parts("\ud83c", encoding=Encoding.UCS2), "not-encodable", id="half a character"
    ),
    pytest.param("a" * 161, parts("a" * 161), "not-sendable", id="a part too long"),
    pytest.param("a" * 314, parts("a" * 154, "a" * 160), "not-sendable", id="parts too long"),
    pytest.param("a" * 256, parts(*"a" * 256), "not-sendable", id="more than 255 parts"),
]


@pytest.mark.parametrize(("text", "segments", "code"), REFUSED)
def test_what_cannot_be_sent_is_refused_for_good(text: str, segments: Segments, code: str) -> None:
    refusal = refusal_of(replace(an_outgoing(), text=text, segments=segments), valid_s=DAY_S)

    assert isinstance(refusal, Rejected)
    assert (refusal.kind, refusal.scope, refusal.code) == (
        RejectKind.PERMANENT,
        Scope.MESSAGE,
        code,
    )


@pytest.mark.parametrize("number", ["255 100", "MTANDAO", "", "+" + "1" * 21])
def test_what_is_no_number_is_refused(number: str) -> None:
    refusal = refusal_of(an_outgoing(to=number), valid_s=DAY_S)

    assert refusal is not None
    assert refusal.code == "not-sendable"
    assert number not in refusal.detail or not number


@pytest.mark.parametrize("valid_s", [-1.0, 0.0, 299.9])
def test_less_validity_than_the_wire_can_carry_is_refused(valid_s: float) -> None:
    """Five minutes is the shortest (TS 23.040, 9.2.3.12.1); a text must not outlive its time."""
    refusal = refusal_of(an_outgoing(), valid_s=valid_s)

    assert refusal is not None
    assert refusal.code == "validity-over"
    assert refusal_of(an_outgoing(), valid_s=300) is None


@given(text=st.text(alphabet="a€ŋ", min_size=1, max_size=500))
def test_whatever_was_split_rightly_passes_and_arrives(text: str) -> None:
    message = an_outgoing(text=text)
    turn = Turn(id="t", message=message, valid_until=DAY_S, reference=9)
    assert refusal_of(message, valid_s=DAY_S) is None

    arrived = []
    for number in range(1, turn.total + 1):
        tpdu = next_tpdu(turn, now=0)
        assert tpdu is not None
        read = read_sent("00" + tpdu.hex())
        assert read.part == ((9, number, turn.total) if turn.total > 1 else None)
        arrived.append(read.text)
        turn.gateway_ids.append(str(number))

    assert "".join(arrived) == text


def test_a_part_that_waited_carries_what_is_left_of_its_validity() -> None:
    turn = Turn(id="t", message=an_outgoing(), valid_until=3600, reference=0)

    spans = []
    for now in (0, 1, 3000, 3300):
        tpdu = next_tpdu(turn, now=now)
        assert tpdu is not None
        spans.append(read_sent("00" + tpdu.hex()).validity)

    assert spans == [timedelta(minutes=minutes) for minutes in (60, 55, 10, 5)]
    assert next_tpdu(turn, now=3301) is None


def test_a_receipt_is_asked_for_only_where_one_is_wanted() -> None:
    """TP-SRR is bit 5 of the first octet (TS 23.040, 9.2.3.5)."""
    for want_receipt in (True, False):
        message = replace(an_outgoing(), want_receipt=want_receipt)
        tpdu = next_tpdu(Turn(id="t", message=message, valid_until=DAY_S, reference=0), now=0)

        assert tpdu is not None
        assert bool(tpdu[0] & 0x20) == want_receipt


def test_texts_to_one_number_are_counted_and_another_number_does_not_disturb_them() -> None:
    references = References()
    first = references.next_for(PHONE)
    for step in range(1, 600):
        references.next_for(OTHER_PHONE)
        assert references.next_for(PHONE) == (first + step) % 256


def test_numbers_not_written_to_for_long_are_forgotten() -> None:
    references = References()
    for number in range(10_500):
        references.next_for(f"+{number}")

    assert len(references._last) == 10_000  # noqa: SLF001 -- what must stay bounded
