"""Receipts as centres write them (SMPP 3.4, appendix B: the layout is vendor specific)."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.events import ReceiptState
from gateway_adapters.smpp.addresses import Address
from gateway_adapters.smpp.codec import Delivery
from gateway_adapters.smpp.codes import state_of_number
from gateway_adapters.smpp.receipts import is_receipt, read_receipt

STANDARD = (
    b"id:1f2e3d sub:001 dlvrd:001 submit date:2703161805 done date:270316180612 "
    b"stat:DELIVRD err:000 text:Jibu A3 ukimaliza."
)


def a_delivery(
    text: bytes = b"", *, esm_class: int = 4, told: str | None = None, state: int | None = None
) -> Delivery:
    """Return what a deliver_sm holds."""
    return Delivery(
        source=Address(ton=1, npi=1, digits="255100000001"),
        destination=Address(ton=3, npi=0, digits="15050"),
        esm_class=esm_class,
        data_coding=0,
        text=text,
        receipted_id=told,
        message_state=state,
    )


def test_the_customary_layout_is_read_whole() -> None:
    news = read_receipt(a_delivery(STANDARD))

    assert news is not None
    assert (news.message_id, news.state, news.code) == ("1f2e3d", ReceiptState.DELIVERED, "000")
    assert news.done_at == datetime(2027, 3, 16, 18, 6, 12, tzinfo=UTC)
    assert news.text == "Jibu A3 ukimaliza."


@pytest.mark.parametrize(
    "text",
    [
        b"ID: 1f2e3d STAT: delivered",
        b"stat:DELIVRD id:1f2e3d",
        b'err:000 Stat:DELIVRD Id:"1f2e3d" sub:001',
        b"id:1f2e3d,stat:DELIVRD,err:000",
        b"id:1f2e3d stat:DELIVRD text:id:999 stat:UNDELIV err:1",
        b"id:1f2e3d stat:DELIVRD Text: stat:EXPIRED",
        b"id:1f2e3d\r\nstat:DELIVRD",
    ],
    ids=["blanks", "other order", "quotes", "commas", "lies in the text", "blank text", "lines"],
)
def test_keys_come_in_any_order_and_case(text: bytes) -> None:
    news = read_receipt(a_delivery(text))

    assert news is not None
    assert (news.message_id, news.state) == ("1f2e3d", ReceiptState.DELIVERED)


def test_parameters_come_before_the_text() -> None:
    news = read_receipt(a_delivery(b"id:999 stat:UNDELIV", told="1f2e3d", state=2))

    assert news is not None
    assert (news.message_id, news.state) == ("1f2e3d", ReceiptState.DELIVERED)


def test_an_interim_notice_is_never_the_end() -> None:
    """esm_class 20 (SMPP 3.4, 5.2.12)."""
    news = read_receipt(a_delivery(STANDARD, esm_class=0x20, state=2))

    assert news is not None
    assert news.state is ReceiptState.SUBMITTED


@pytest.mark.parametrize(
    ("number", "state"),
    [
        (1, ReceiptState.SUBMITTED), (2, ReceiptState.DELIVERED), (3, ReceiptState.EXPIRED),
        (4, ReceiptState.FAILED), (5, ReceiptState.FAILED), (6, ReceiptState.SUBMITTED),
        (7, ReceiptState.UNKNOWN), (8, ReceiptState.FAILED), (0, ReceiptState.UNKNOWN),
        (9, ReceiptState.UNKNOWN),
    ],
)  # fmt: skip
def test_each_message_state_has_a_meaning(number: int, state: ReceiptState) -> None:
    """SMPP 3.4, 5.2.28."""
    assert state_of_number(number) is state


@pytest.mark.parametrize(
    ("delivery", "untyped", "answer"),
    [
        (a_delivery(esm_class=0x04), False, True),
        (a_delivery(esm_class=0x20), False, True),
        (a_delivery(esm_class=0x44), False, True),
        (a_delivery(esm_class=0x00, told="1"), False, True),
        (a_delivery(STANDARD, esm_class=0), False, False),
        (a_delivery(STANDARD, esm_class=0), True, True),
        (a_delivery(b"id:1", esm_class=0), True, False),
        (a_delivery(STANDARD, esm_class=0x08), True, False),
        (a_delivery(b"A3", esm_class=0x40), False, False),
    ],
)
def test_a_receipt_is_told_from_a_text(delivery: Delivery, untyped: bool, answer: bool) -> None:  # noqa: FBT001 -- rows
    assert is_receipt(delivery, untyped=untyped) is answer


@pytest.mark.parametrize("text", [b"", b"stat:DELIVRD", b"id: stat:DELIVRD", b"id:" + b"1" * 65])
def test_a_receipt_without_a_fitting_id_is_unreadable(text: bytes) -> None:
    assert read_receipt(a_delivery(text)) is None


@pytest.mark.parametrize("date", [b"2713451805", b"27031618", b"soon", b""])
def test_a_date_that_is_none_is_left_out(date: bytes) -> None:
    news = read_receipt(a_delivery(b"id:1 done date:" + date + b" stat:EXPIRED"))

    assert news is not None
    assert (news.done_at, news.state) == (None, ReceiptState.EXPIRED)


@given(st.binary(max_size=254), st.integers(0, 255))
def test_any_octets_are_a_receipt_or_none(text: bytes, esm_class: int) -> None:
    delivery = a_delivery(text, esm_class=esm_class)

    is_receipt(delivery, untyped=True)
    news = read_receipt(delivery)
    assert news is None or 0 < len(news.message_id) <= 64
