"""What a household is told so that its cans last: which can, which day, which plot.

Two adults pass 2 L a day, and urine rests 30 days before it feeds a crop sold to anybody's table:
the tables of supply and of eaters.
"""

from datetime import date

import pytest

from service.agronomy.allotment import Allotment
from service.agronomy.containers import CanEventKind
from service.planning.allotting import Planned
from service.planning.collect_notices import collecting_means, collecting_notices, short_lack
from service.planning.planner import Notice
from service.records.containers import ContainerBundle
from service.records.fields import DoseState
from tests.unit.planning.edges import (
    HOME,
    PLANTING,
    SOWN,
    a_board,
    a_can,
    a_dose,
    a_home,
    a_row,
    planted,
    standing,
)

TODAY = date(2027, 3, 10)
OPENED, SEALED = CanEventKind.OPENED, CanEventKind.SEALED
EMPTY_CAN = a_can()
FILLING = a_can((OPENED, date(2027, 3, 9)))
FULL = a_can((OPENED, date(2026, 12, 1)), (SEALED, date(2027, 1, 1)), litres=200)
Gets = dict[tuple[int, int], Allotment]


def told(
    *own: Planned,
    kind: str,
    cans: tuple[ContainerBundle, ...] = (EMPTY_CAN,),
    today: date = TODAY,
    gets: Gets | None = None,
) -> list[Notice]:
    board = a_board(*own, today=today, cans=cans, gets=None if gets is None else {HOME: gets})
    return [notice for notice in collecting_notices(board, own) if notice.kind == kind]


def means(*cans: ContainerBundle, today: date = TODAY) -> tuple[float, int, float]:
    """Return the usual can, how many cans count as stock, and what is in the one that fills."""
    board = a_board(planted(), today=today, cans=cans)
    found = collecting_means(
        a_home(), standing(cans, today=today).get(HOME, ()), board.stock[HOME], today=today
    )
    return found.can_litres, len(found.stocks), found.filling_litres


@pytest.mark.parametrize(
    ("cans", "litres"),
    [
        pytest.param((), 20, id="no can yet: the usual one, a project choice"),
        pytest.param((a_can(litres=10),), 10, id="one"),
        pytest.param((a_can(litres=10), a_can(number=2, litres=30)), 30, id="the larger of two"),
    ],
)
def test_a_household_collects_in_its_largest_can(
    cans: tuple[ContainerBundle, ...], litres: float
) -> None:
    assert means(*cans)[0] == litres


@pytest.mark.parametrize(
    ("cans", "stock"), [((EMPTY_CAN,), 0), ((FILLING,), 0), ((FULL, a_can(number=2)), 1)]
)
def test_only_what_is_sealed_is_stock(cans: tuple[ContainerBundle, ...], stock: int) -> None:
    assert means(*cans)[1] == stock


@pytest.mark.parametrize(
    ("cans", "litres"),
    [
        pytest.param((), 0, id="no can"),
        pytest.param((EMPTY_CAN,), 0, id="an empty one"),
        pytest.param((FULL,), 0, id="a sealed one"),
        pytest.param((a_can((OPENED, TODAY)),), 0, id="opened today"),
        pytest.param((a_can((OPENED, date(2027, 3, 5))),), 10, id="opened five days ago"),
        pytest.param((a_can((OPENED, date(2027, 2, 1))),), 20, id="full long since"),
        pytest.param((a_can((OPENED, date(2027, 3, 11))),), 0, id="to be opened tomorrow"),
    ],
)
def test_a_can_fills_with_what_is_passed_since_it_was_opened(
    cans: tuple[ContainerBundle, ...], litres: float
) -> None:
    assert means(*cans)[2] == litres


def later(*days: date, planted_on: date = date(2027, 4, 15), planting: int = PLANTING) -> Planned:
    """Return a planting with a dose of 20 L on each of these days."""
    doses = [a_dose(number, day) for number, day in enumerate(days, start=1)]
    return planted(doses=doses, planted_on=planted_on, planting=planting)


def test_collecting_begins_so_that_the_can_is_full_and_rested_in_time() -> None:
    """20 L take ten days; sealed on 21 March they are ready on 20 April."""
    (start,) = told(later(date(2027, 4, 20), date(2027, 5, 20)), kind="collect")

    assert (start.key, start.first_on) == ("collect:6:9", date(2027, 3, 11))
    assert start.last_on == date(2027, 4, 14)
    assert start.fields == {"n": 1, "day": "2027-03-21"}


@pytest.mark.parametrize(
    ("today", "day"), [(date(2027, 3, 20), "2027-03-21"), (date(2027, 3, 21), None)]
)
def test_a_day_for_sealing_is_named_before_it_has_come(today: date, day: str | None) -> None:
    (start,) = told(later(date(2027, 4, 20)), kind="collect", today=today)

    assert start.fields["day"] == day


@pytest.mark.parametrize(
    ("today", "count"), [(date(2027, 4, 14), 1), (date(2027, 4, 15), 0), (date(2027, 4, 16), 0)]
)
def test_nobody_is_asked_to_begin_once_the_seed_is_sown(today: date, count: int) -> None:
    assert len(told(later(date(2027, 6, 20)), kind="collect", today=today)) == count


def test_the_first_seed_to_be_sown_counts() -> None:
    own = (
        later(date(2027, 6, 20), planting=PLANTING, planted_on=date(2027, 4, 20)),
        later(date(2027, 6, 20), planting=3, planted_on=date(2027, 4, 15)),
    )

    (start,) = told(*own, kind="collect")

    assert (start.key, start.last_on) == ("collect:6:3", date(2027, 4, 14))


@pytest.mark.parametrize(
    ("cans", "number"),
    [
        pytest.param((EMPTY_CAN, a_can(number=2)), 1, id="the first that is empty"),
        pytest.param(
            (EMPTY_CAN, a_can((OPENED, date(2027, 3, 9)), number=2)), 2, id="the one that fills"
        ),
        pytest.param((a_can((SEALED, TODAY), litres=1), a_can(number=2)), 2, id="none that rests"),
    ],
)
def test_the_can_to_fill_is_named(cans: tuple[ContainerBundle, ...], number: int) -> None:
    (start,) = told(later(date(2027, 6, 20)), kind="collect", cans=cans)

    assert start.fields["n"] == number


@pytest.mark.parametrize(
    "cans",
    [
        pytest.param((), id="no can"),
        pytest.param((FULL, a_can(number=2)), id="enough in stock"),
        pytest.param((a_can((SEALED, TODAY), litres=1),), id="no can that could be filled"),
    ],
)
def test_nothing_is_asked_where_nothing_can_be_done_or_nothing_lacks(
    cans: tuple[ContainerBundle, ...],
) -> None:
    own = later(date(2027, 4, 20))

    assert told(own, kind="collect", cans=cans) == []
    assert told(own, kind="seal_by", cans=cans) == []


def test_the_last_day_for_sealing_is_told_on_the_three_evenings_before_it() -> None:
    """Three evenings, a project choice."""
    (seal,) = told(later(date(2027, 4, 20), date(2027, 5, 20)), kind="seal_by", cans=(FILLING,))

    assert (seal.key, seal.fields) == ("seal_by:41:2027-03-09", {"n": 1, "day": "2027-03-21"})
    assert (seal.first_on, seal.last_on) == (date(2027, 3, 18), date(2027, 3, 20))


def test_a_can_that_nobody_fills_has_no_day_for_sealing() -> None:
    assert told(later(date(2027, 4, 20)), kind="seal_by") == []


def test_a_can_that_fills_has_no_day_for_sealing_where_nothing_lacks() -> None:
    cans = (FULL, a_can((OPENED, date(2027, 3, 9)), number=2))

    assert told(later(date(2027, 4, 20)), kind="seal_by", cans=cans) == []


def too_late(
    *, letter: str | None = "A", served: str | None = "B", behind: bool = False
) -> tuple[Planned, Planned]:
    """Return a plot whose dose of 15 March nothing can serve, and one that is served in May."""
    states = (DoseState.DONE if behind else DoseState.PLANNED, DoseState.PLANNED)
    rows = [
        a_row(number, date(2027, 3, number), state=state) for number, state in enumerate(states, 5)
    ]
    return (
        planted(letter=letter, doses=[a_dose(1, SOWN)], rows=rows),
        planted(
            planting=3,
            letter=served,
            doses=[a_dose(2, date(2027, 5, 20))],
            rows=[a_row(1, date(2027, 3, 1), state=DoseState.DONE)],
        ),
    )


def test_a_first_dose_that_comes_too_early_for_the_can_is_told_with_the_one_it_is_for() -> None:
    (late,) = told(*too_late(), kind="too_late")

    assert (late.key, late.first_on) == ("too_late:9", date(2027, 2, 22))
    assert late.last_on == date(2027, 3, 14)
    assert late.fields == {"plot": "A", "code": "B2", "day": "2027-05-20"}


@pytest.mark.parametrize(
    "own",
    [
        pytest.param(too_late(letter=None), id="a plot without a letter"),
        pytest.param(too_late(served=None), id="a served plot without a letter"),
        pytest.param(too_late(behind=True), id="doses behind it: it knows its cans"),
        pytest.param((later(date(2027, 5, 20)),), id="in time for the first"),
        pytest.param((later(SOWN),), id="in time for none"),
        pytest.param((planted(),), id="no dose"),
    ],
)
def test_there_are_plots_that_hear_of_no_dose_that_comes_too_early(
    own: tuple[Planned, ...],
) -> None:
    assert told(*own, kind="too_late") == []


@pytest.mark.parametrize(("litres", "count"), [(0.0, 1), (0.5, 0), (20.0, 0)])
def test_a_first_dose_that_gets_something_is_not_too_early(litres: float, count: int) -> None:
    gets = {(PLANTING, 1): Allotment(litres=litres, short_litres=20 - litres, draws=())}

    assert len(told(*too_late(), kind="too_late", gets=gets)) == count


def given(*short: float) -> Gets:
    """Return what the doses of a planting get: all but these litres."""
    return {
        (PLANTING, number): Allotment(litres=20 - lack, short_litres=lack, draws=())
        for number, lack in enumerate(short, start=1)
    }


MAY = (date(2027, 5, 2), date(2027, 5, 9), date(2027, 5, 16))


@pytest.mark.parametrize(("lack", "count"), [(0.0, 0), (1.9, 0), (2.0, 1), (2.9, 1)])
def test_two_litres_are_the_least_that_is_told_as_lacking(lack: float, count: int) -> None:
    """Two litres, a project choice: less is within what people's days differ by."""
    assert len(told(later(MAY[0]), kind="short", gets=given(lack))) == count


def test_the_lack_is_told_in_the_three_weeks_before_the_first_dose_that_lacks() -> None:
    """Three weeks, a project choice."""
    (short,) = told(later(*MAY), kind="short", gets=given(0, 0.8, 2.4))

    assert (short.key, short.first_on) == ("short:6:9", date(2027, 4, 18))
    assert short.last_on == date(2027, 5, 8)
    assert short.fields == {"plot": "A", "short": 3.2, "advice": "collect"}


@pytest.mark.parametrize(
    ("short", "advice"), [((0, 0, 12), "last"), ((15, 15, 15), "halve"), ((5, 5, 0), "collect")]
)
def test_the_first_thing_to_do_about_a_lack_is_told(short: tuple[float, ...], advice: str) -> None:
    (found,) = told(later(*MAY), kind="short", gets=given(*short))

    assert found.fields["advice"] == advice


def test_a_household_without_a_can_hears_what_it_lacks() -> None:
    (short,) = told(later(MAY[0]), kind="short", cans=())

    assert short.fields["short"] == 20


def plots(letter: str | None = "A") -> tuple[Planned, ...]:
    return tuple(
        planted(
            planting=planting, letter=name, planted_on=date(2027, 4, day), doses=[a_dose(1, on)]
        )
        for planting, name, day, on in (
            (PLANTING, letter, 10, MAY[0]),
            (12, "B", 20, MAY[1]),
            (3, "C", 15, MAY[2]),
        )
    )


def test_of_several_plots_the_youngest_are_to_be_served_first() -> None:
    (short,) = told(*plots(), kind="short", cans=())

    assert short.key == "short:6:3"
    assert short.fields == {"plot": "A", "short": 60, "advice": {"young": ["B", "C", "A"]}}


def test_a_lack_of_a_plot_without_a_letter_is_for_a_person_to_tell() -> None:
    own = plots(None)
    lack = short_lack(a_board(*own, today=TODAY), own)

    assert lack is not None
    assert (lack.planting_id, lack.letter, lack.season) == (PLANTING, None, 3)
    assert told(*own, kind="short", cans=()) == []


def test_a_plot_without_a_letter_is_in_no_order() -> None:
    own = (*plots()[:2], planted(planting=3, letter=None, doses=[a_dose(1, MAY[2])]))

    (short,) = told(*own, kind="short", cans=())

    assert short.fields["advice"] == {"young": ["B", "A"]}
