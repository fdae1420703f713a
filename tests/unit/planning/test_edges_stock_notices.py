"""What is said once of the cans: that one has rested, and that none has for a dose."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.allotment import Allotment
from service.agronomy.containers import CanEventKind, Draw
from service.agronomy.regimes import Regime
from service.planning.allotting import Planned
from service.planning.planner import Notice
from service.planning.stock_notices import no_can_notices, ready_notices
from service.records.containers import ContainerBundle
from service.records.fields import DoseState
from tests.unit.planning.edges import HOME, PLANTING, a_board, a_can, a_dose, a_home, a_row, planted

DUE, TODAY = date(2027, 4, 4), date(2027, 4, 3)
OPENED, SEALED = CanEventKind.OPENED, CanEventKind.SEALED
RESTED = a_can((SEALED, date(2027, 2, 1)))


def a_plot(letter: str | None = "A", state: DoseState = DoseState.PLANNED) -> Planned:
    return planted(letter=letter, rows=[a_row(3, DUE, state=state)], doses=[a_dose(3, DUE)])


def no_can(
    own: Planned, *, cans: tuple[ContainerBundle, ...] = (), today: date = TODAY
) -> list[Notice]:
    return no_can_notices(a_board(own, today=today, cans=cans), [own])


def test_a_dose_that_no_can_has_rested_for_is_told_on_its_eve() -> None:
    (told,) = no_can(a_plot())

    assert (told.kind, told.key) == ("no_can", "no_can:903:2027-04-04")
    assert (told.first_on, told.last_on) == (TODAY, TODAY)
    assert told.fields == {"plot": "A", "code": "A3", "day": "2027-04-04", "ready": None}


@pytest.mark.parametrize(
    ("day", "count"), [(1, 0), (2, 1), (3, 1), (4, 0)], ids=["three", "two", "eve", "day"]
)
def test_it_is_planned_on_its_eve_and_the_day_before(day: int, count: int) -> None:
    assert len(no_can(a_plot(), today=date(2027, 4, day))) == count


@pytest.mark.parametrize(
    ("own", "cans"),
    [
        pytest.param(a_plot(letter=None), (), id="no letter"),
        pytest.param(a_plot(state=DoseState.DROPPED), (), id="dropped"),
        pytest.param(a_plot(), (RESTED,), id="a can has rested"),
    ],
)
def test_there_are_doses_that_nothing_is_said_of(
    own: Planned, cans: tuple[ContainerBundle, ...]
) -> None:
    assert no_can(own, cans=cans) == []


@pytest.mark.parametrize(
    ("sealed", "ready"),
    [
        pytest.param([date(2027, 3, 6)], "2027-04-05", id="ready the day after the dose"),
        pytest.param([date(2027, 3, 20), date(2027, 3, 10)], "2027-04-09", id="the first of two"),
        pytest.param([date(2027, 3, 10), None], "2027-04-09", id="one is not sealed"),
        pytest.param([None], None, id="none is sealed"),
    ],
)
def test_the_day_is_named_on_which_a_can_will_have_rested(
    sealed: list[date | None], ready: str | None
) -> None:
    """Thirty days of rest: WHO 2006, vol. 4."""
    cans = [
        a_can(*([] if day is None else [(SEALED, day)]), number=number)
        for number, day in enumerate(sealed, start=1)
    ]

    (told,) = no_can(a_plot(), cans=tuple(cans))

    assert told.fields["ready"] == ready


def test_a_can_that_has_rested_but_has_nothing_left_is_no_can_to_wait_for() -> None:
    own = a_plot()
    nothing = Allotment(litres=0, short_litres=20, draws=())
    cans = (a_can((SEALED, date(2027, 3, 5))),)  # ready on the dose's own day

    board = a_board(own, today=TODAY, cans=cans, gets={HOME: {(PLANTING, 3): nothing}})

    assert [told.fields["ready"] for told in no_can_notices(board, [own])] == [None]


def test_a_can_still_to_be_sealed_is_no_can_for_a_dose() -> None:
    own = a_plot()
    hoped = Allotment(litres=20, short_litres=0, draws=(Draw(can=41, litres=20, forecast=True),))

    board = a_board(own, today=TODAY, cans=(RESTED,), gets={HOME: {(PLANTING, 3): hoped}})

    assert len(no_can_notices(board, [own])) == 1


def ready(
    *own: Planned,
    cans: tuple[ContainerBundle, ...],
    homes: tuple[int, ...] = (HOME,),
    today: date = TODAY,
) -> list[Notice]:
    return ready_notices(a_board(*own, today=today, cans=cans), homes, own)


def test_a_can_is_told_for_a_week_from_the_day_it_has_rested() -> None:
    (told,) = ready(a_plot(), cans=(RESTED,))

    assert (told.kind, told.key) == ("ready", "ready:41:2027-02-01")
    assert (told.first_on, told.last_on) == (date(2027, 3, 3), date(2027, 3, 9))
    assert told.fields == {"n": 1, "wait": 30, "order": ["A"]}


@pytest.mark.parametrize(
    ("events", "told"),
    [
        pytest.param([], False, id="empty"),
        pytest.param([(OPENED, date(2027, 2, 1))], False, id="filling"),
        pytest.param([(SEALED, date(2027, 3, 20))], True, id="resting: it will be ready"),
        pytest.param([(SEALED, date(2027, 2, 1))], True, id="ready"),
        pytest.param(
            [(SEALED, date(2027, 2, 1)), (CanEventKind.EMPTIED, date(2027, 2, 20))],
            False,
            id="emptied",
        ),
    ],
)
def test_only_a_can_that_was_sealed_becomes_ready(
    events: list[tuple[CanEventKind, date]], *, told: bool
) -> None:
    assert bool(ready(a_plot(), cans=(a_can(*events),))) is told


def test_a_can_that_never_rests_in_its_store_is_never_told() -> None:
    """Half a year's rest needs a store known to be warm: WHO 2006, vol. 4."""
    sold = replace(RESTED, regime=Regime.SOLD_ANY, area_id=5)  # nobody has measured there

    assert ready(a_plot(), cans=(sold,)) == []


def test_a_can_is_for_the_youngest_plot_first() -> None:
    own = [
        planted(planting=number, letter=letter, planted_on=date(2027, 3, day))
        for number, letter, day in ((1, "A", 5), (2, "B", 20), (3, None, 22), (4, "D", 10))
    ]

    (told,) = ready(*own, cans=(RESTED,))

    assert told.fields["order"] == ["B", "D", "A"]


def test_the_cans_of_several_households_are_told_in_one_order() -> None:
    other = planted(planting=4, letter="C", home=a_home(7))
    unnamed = planted(planting=5, letter=None, home=a_home(8))
    cans = tuple(
        a_can((SEALED, date(2027, 2, 1)), number=number, home=home)
        for number, home in ((1, 7), (2, HOME), (3, 8))
    )

    told = ready(a_plot(), other, unnamed, cans=cans, homes=(7, 8, HOME))

    assert [notice.fields["order"] for notice in told] == [["A"], ["C"]]
