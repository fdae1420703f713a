"""Pieces in a message centre's log are put together again (3GPP TS 23.040, 9.2.3.24)."""

import pytest

from service.demo.parts import Piece, Whole, joined


def line(gateway_id: str, text: str, udh: str = "", to: str = "255100000001") -> dict[str, object]:
    return {"id": gateway_id, "to": to, "text": text, "udh": udh}


def whole(*lines: dict[str, object]) -> list[Whole]:
    return joined(Piece.of(item) for item in lines)


def test_a_text_without_a_header_is_whole() -> None:
    assert whole(line("1", "A3")) == [Whole(ids=("1",), text="A3")]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        pytest.param("0003110201", "0003110202", id="the element alone"),
        pytest.param("050003110201", "050003110202", id="with the header's length"),
        pytest.param("080412340201", "080412340202", id="a reference of 16 bits"),
        pytest.param("080003110201240101", "080003110202240101", id="another element behind it"),
    ],
)
def test_pieces_come_together_in_any_order(first: str, second: str) -> None:
    assert whole(line("2", "zuri", second), line("1", "habari ", first)) == [
        Whole(ids=("1", "2"), text="habari zuri")
    ]


def test_pieces_for_two_phones_are_not_mixed_and_what_lacks_one_is_left_out() -> None:
    other = "255100000002"

    assert whole(line("1", "a", "0003110201"), line("2", "b", "0003110202", to=other)) == []


def test_a_reference_may_be_used_again() -> None:
    pieces = [line("1", "a", "0003110201"), line("2", "b", "0003110202")]

    assert [text.ids for text in whole(*pieces, *pieces)] == [("1", "2"), ("1", "2")]
