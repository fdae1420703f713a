"""What the board says of one household: its plots, its cans for a dose, its safe harvest."""

from datetime import date

import pytest

from service.agronomy.allotment import Allotment
from service.agronomy.containers import CanEventKind, Draw
from service.planning.board import dose_cans, harvest_from, is_transplanted, phones_by_household
from service.records.fields import DoseState, FactKind
from tests.unit.planning.edges import (
    HOME,
    PLANTING,
    a_board,
    a_can,
    a_dose,
    a_fact,
    a_home,
    a_phone,
    a_row,
    planted,
)

TODAY = date(2027, 4, 3)
ROW = a_row(3, date(2027, 4, 4))
RESTED = a_can((CanEventKind.SEALED, date(2027, 1, 1)))


def test_a_household_is_texted_on_the_first_phone_on_which_it_agreed() -> None:
    homes = [a_home(7), a_home(8)]
    first, second = a_phone(homes[0], phone=1), a_phone(*homes, phone=2)

    assert phones_by_household([first, second]) == {7: first, 8: second}


def test_the_plots_of_several_households_come_in_the_order_of_the_households() -> None:
    own = [planted(planting=1, home=a_home(8)), planted(planting=2, home=a_home(7))]
    board = a_board(*own, planted(planting=3), today=TODAY)

    found = board.growing_of({8, 7, 99})

    assert [item.bundle.planting.id for item in found] == [2, 1]


@pytest.mark.parametrize(
    ("crop", "chosen", "found"),
    [
        ("maize-grain", None, False),
        ("maize-grain", True, True),
        ("tomato", None, True),
        ("tomato", False, False),
    ],
)
def test_a_crop_is_set_out_as_it_usually_is_unless_it_is_said(
    crop: str, *, chosen: bool | None, found: bool
) -> None:
    assert is_transplanted(planted(crop=crop, transplanted=chosen)) is found


def test_a_dose_is_poured_from_the_cans_that_are_sealed_by_now() -> None:
    own = planted(rows=[ROW], doses=[a_dose(3, ROW.due_on)])
    draws = (Draw(can=41, litres=15), Draw(can=42, litres=5, forecast=True))
    gets = {HOME: {(PLANTING, 3): Allotment(litres=20, short_litres=0, draws=draws)}}

    board = a_board(own, today=TODAY, cans=(RESTED, a_can(number=2)), gets=gets)

    assert [can.container_id for can in dose_cans(board, own, ROW)] == [41]


def test_a_dose_that_asked_for_nothing_is_poured_from_nothing() -> None:
    own = planted(rows=[ROW])

    assert dose_cans(a_board(own, today=TODAY, cans=(RESTED,)), own, ROW) == ()
    assert dose_cans(a_board(today=TODAY), own, ROW) == ()


@pytest.mark.parametrize(
    ("state", "safe_on"),
    [
        (DoseState.PLANNED, date(2027, 5, 10)),
        (DoseState.NOT_KNOWN, date(2027, 5, 10)),
        (DoseState.NOT_DONE, date(2027, 4, 14)),
        (DoseState.DROPPED, date(2027, 4, 14)),
    ],
)
def test_a_dose_that_may_have_been_given_counts_for_the_harvest(
    state: DoseState, safe_on: date
) -> None:
    """A month between dose and harvest: WHO 2006, vol. 4."""
    rows = [
        a_row(1, date(2027, 3, 15), state=DoseState.DONE),
        a_row(3, date(2027, 4, 3), closes_on=date(2027, 4, 10), state=state),
    ]
    given = a_fact(FactKind.APPLIED, date(2027, 3, 15), 1)

    assert harvest_from(planted(rows=rows, facts=[given]), TODAY) == safe_on
