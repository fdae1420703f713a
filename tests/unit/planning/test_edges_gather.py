"""What a phone's texts follow from: which doses, whose households, how many cups a plant."""

from datetime import date

import pytest

from service.agronomy.allotment import Allotment
from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind, Draw
from service.planning.allotting import Planned
from service.planning.gather import job_of, phone_facts
from service.planning.planner import Job, PhoneFacts
from service.records.containers import ContainerBundle
from service.records.fields import DoseState
from tests.unit.planning.edges import (
    HOME,
    PLANTING,
    a_board,
    a_can,
    a_dose,
    a_home,
    a_phone,
    a_row,
    planted,
)

TODAY, DUE = date(2027, 4, 3), date(2027, 4, 4)
SEALED = CanEventKind.SEALED
FULL = a_can((SEALED, date(2027, 1, 1)), litres=200)


def a_plot(  # noqa: PLR0913 -- a factory: every part has its usual value
    due_on: date = DUE,
    *,
    letter: str | None = "A",
    state: DoseState = DoseState.PLANNED,
    urine: float = 20,
    water: float = 0,
    area_m2: float = 100,
    needs_call: bool = False,
    **parts: object,
) -> Planned:
    closes_on = add_days(due_on, 10)
    return planted(
        letter=letter,
        area_m2=area_m2,
        home=a_home(needs_call=needs_call),
        rows=[a_row(3, due_on, closes_on=closes_on, state=state, litres=urine, water=water)],
        doses=[a_dose(3, due_on, urine, closes_on=closes_on)],
        **parts,  # type: ignore[arg-type]  # -- named by the tests
    )


def job(own: Planned, *cans: ContainerBundle, gets: Allotment | None = None) -> Job | None:
    allotted = None if gets is None else {HOME: {(PLANTING, 3): gets}}
    board = a_board(own, today=TODAY, cans=cans, gets=allotted)
    return job_of(board, own, own.bundle.doses[0])


def told(own: Planned, *cans: ContainerBundle, gets: Allotment | None = None) -> Job:
    found = job(own, *cans, gets=gets)
    assert found is not None
    return found


def test_a_text_says_what_the_dose_is() -> None:
    found = told(a_plot(urine=20, water=40), FULL)

    assert (found.code, found.letter, found.number, found.due_on) == ("A3", "A", 3, DUE)
    assert (found.urine_l, found.water_l, found.cans) == (20, 40, ())
    assert (found.late, found.assumed, found.texts) == (False, True, 0)


@pytest.mark.parametrize(
    ("own", "cans"),
    [
        pytest.param(a_plot(state=DoseState.DROPPED), (FULL,), id="dropped"),
        pytest.param(a_plot(), (), id="no can"),
        pytest.param(a_plot(letter=None), (FULL,), id="no letter"),
    ],
)
def test_there_are_doses_that_no_text_may_tell(
    own: Planned, cans: tuple[ContainerBundle, ...]
) -> None:
    assert job(own, *cans) is None


@pytest.mark.parametrize(
    ("urine", "water", "pace"),
    [
        pytest.param(0.25, 0, {"cups": 1, "plants": 1}, id="a cup of 250 ml"),
        pytest.param(0.15, 0.1, {"cups": 1, "plants": 1}, id="the water is in the cup"),
        pytest.param(0.01, 0, None, id="too little to measure for one plant"),
    ],
)
def test_a_plot_for_less_than_a_plant_has_one(
    urine: float, water: float, pace: dict[str, int] | None
) -> None:
    assert told(a_plot(urine=urine, water=water, area_m2=0.01), FULL).pace == pace


def test_a_hair_less_than_a_cup_is_no_cup() -> None:
    pace = told(a_plot(urine=0.2498, area_m2=0.01), FULL).pace

    assert pace is not None
    assert pace["cups"] < pace["plants"]


def test_a_whole_plot_has_as_many_plants_as_it_has() -> None:
    pace = told(a_plot(urine=20), FULL).pace

    assert pace is None or pace["cups"] < pace["plants"]


@pytest.mark.parametrize(
    ("sealed", "late"),
    [
        pytest.param([date(2027, 3, 5)], False, id="ready on its day"),
        pytest.param([date(2027, 3, 6)], True, id="ready the day after"),
        pytest.param([date(2027, 3, 6), date(2027, 3, 1)], False, id="one of two was ready"),
    ],
)
def test_a_dose_is_late_where_no_can_had_rested_by_its_day(
    sealed: list[date], *, late: bool
) -> None:
    """Thirty days of rest: WHO 2006, vol. 4."""
    cans = [a_can((SEALED, day), number=number) for number, day in enumerate(sealed, start=1)]
    draws = tuple(Draw(can=40 + number, litres=10) for number in range(1, len(cans) + 1))

    found = told(a_plot(), *cans, gets=Allotment(litres=20, short_litres=0, draws=draws))

    assert found.late is late
    assert found.cans == (() if len(cans) == 1 else (1, 2))


@pytest.mark.parametrize(
    ("parts", "assumed"),
    [
        ({}, True),
        ({"emergence_assumed": False}, False),
        ({"transplanted": True}, False),
    ],
    ids=["sown", "known to be up", "set out"],
)
def test_only_plants_that_have_to_come_up_are_unsure(
    parts: dict[str, object], *, assumed: bool
) -> None:
    assert told(a_plot(**parts), FULL).assumed is assumed  # type: ignore[arg-type]  # -- as named


def facts(  # noqa: PLR0913 -- a factory: every part has its usual value
    own: Planned,
    *,
    first: int = 7,
    asked: int = 7,
    paused: frozenset[int] = frozenset(),
    waiting: str = "",
    used: frozenset[tuple[int, date]] = frozenset(),
) -> PhoneFacts | None:
    """Return what decides the texts of a phone; the home agreed on `first` and then on another."""
    phones = {number: a_phone(own.bundle.household, phone=number) for number in (7, 8)}
    order = [phones[first], phones[15 - first]]
    board = a_board(
        own,
        today=TODAY,
        cans=(FULL,),
        phones=order,
        waiting={7: waiting},
        used=used,
        paused=paused,
    )
    return phone_facts(board, phones[asked])


def spoken(found: PhoneFacts | None) -> list[str]:
    return [] if found is None else [job.code for job in found.jobs]


def test_a_home_is_texted_on_the_first_phone_that_agreed_and_no_other() -> None:
    assert spoken(facts(a_plot())) == ["A3"]
    assert facts(a_plot(), asked=8) is None
    assert spoken(facts(a_plot(), first=8, asked=8)) == ["A3"]


def test_nothing_is_sent_where_nobody_reads_or_a_refusal_may_wait() -> None:
    assert facts(a_plot(needs_call=True)) is None
    assert facts(a_plot(), paused=frozenset({7})) is None
    assert spoken(facts(a_plot(), paused=frozenset({8}))) == ["A3"]


def test_only_the_phones_own_evenings_are_used() -> None:
    found = facts(a_plot(), used=frozenset({(7, TODAY), (8, DUE)}))

    assert found is not None
    assert found.used == {TODAY}


@pytest.mark.parametrize(("waiting", "codes"), [("A", []), ("BC", ["A3"])])
def test_nothing_is_said_of_a_plot_whose_answer_waits_to_be_read(
    waiting: str, codes: list[str]
) -> None:
    assert spoken(facts(a_plot(), waiting=waiting)) == codes


def test_nothing_is_said_of_a_plot_without_a_letter() -> None:
    assert spoken(facts(a_plot(letter=None))) == []


@pytest.mark.parametrize(
    ("days", "codes"), [(-7, []), (-6, ["A3"]), (0, ["A3"]), (2, ["A3"]), (3, [])]
)
def test_doses_are_told_from_two_days_before_to_the_last_day_of_a_window(
    days: int, codes: list[str]
) -> None:
    assert spoken(facts(a_plot(add_days(TODAY, days)))) == codes


def test_a_dose_that_is_settled_is_passed_over() -> None:
    assert spoken(facts(a_plot(state=DoseState.DONE))) == []
