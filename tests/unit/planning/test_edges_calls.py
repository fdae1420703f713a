"""From which day and minute a person is asked to call, and up to which.

Calls open at six in the morning; the days are project choices, as beside their figures.
"""

from datetime import UTC, date, datetime, time

import pytest

from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind
from service.outbox.lookups import Told
from service.planning.allotting import Planned
from service.planning.calls import tasks_now
from service.records.containers import ContainerBundle
from service.records.fields import DoseState, FactKind
from service.records.tasks import Task
from service.records.traffic import TaskKind
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

TODAY = date(2027, 4, 10)
SIX, BEFORE_SIX = time(6), time(5, 59)
FULL = a_can((CanEventKind.SEALED, date(2027, 1, 1)), litres=200)
ONCE = 1
DOSE_ID = 903


def a_plot(  # noqa: PLR0913 -- a factory: every part has its usual value
    days_past: int,
    *,
    state: DoseState = DoseState.PLANNED,
    closes_in: int = 3,
    letter: str | None = "A",
    needs_call: bool = False,
    recorded_at: datetime = datetime(2027, 1, 10, 9, 0, tzinfo=UTC),
) -> Planned:
    """Return a plot whose dose 3 was due so many days ago and is open for some days more."""
    due_on, closes_on = add_days(TODAY, -days_past), add_days(TODAY, closes_in)
    return planted(
        letter=letter,
        home=a_home(needs_call=needs_call),
        rows=[a_row(3, due_on, closes_on=closes_on, state=state)],
        doses=[a_dose(3, due_on, closes_on=closes_on)],
        emergence_assumed=False,
        recorded_at=recorded_at,
    )


def tasks(  # noqa: PLR0913 -- a factory: every part has its usual value
    own: Planned,
    *,
    clock: time = SIX,
    cans: tuple[ContainerBundle, ...] = (FULL,),
    texts: int = 0,
    told_on: date | None = None,
    phone: bool = True,
    waiting: str = "",
    today: date = TODAY,
) -> list[Task]:
    due_on = own.bundle.doses[0].due_on if own.bundle.doses else today
    told = Told(texts=texts, days=frozenset({told_on or due_on} if texts else ()))
    board = a_board(
        own,
        today=today,
        cans=cans,
        phones=[a_phone(own.bundle.household)] if phone else [],
        told={DOSE_ID: told},
        waiting={7: waiting},
    )
    return tasks_now(board, clock)


def kinds(found: list[Task]) -> list[TaskKind]:
    return [task.kind for task in found]


@pytest.mark.parametrize("state", [DoseState.DONE, DoseState.NOT_DONE, DoseState.DROPPED])
def test_nobody_is_called_about_a_dose_that_is_settled(state: DoseState) -> None:
    assert tasks(a_plot(0, state=state)) == []


@pytest.mark.parametrize(
    ("days_past", "closes_in", "opens"),
    [
        pytest.param(-2, 8, False, id="two days before"),
        pytest.param(-1, 7, True, id="the day before"),
        pytest.param(0, 6, True, id="the day itself"),
        pytest.param(6, 0, True, id="its last day"),
        pytest.param(7, -1, False, id="over"),
    ],
)
def test_a_dose_without_a_ready_can_is_called_about_at_any_hour(
    days_past: int, closes_in: int, *, opens: bool
) -> None:
    own = a_plot(days_past, closes_in=closes_in)

    found = tasks(own, cans=(), clock=time(0))

    assert kinds(found) == ([TaskKind.NOT_READY] if opens else [])


def test_a_call_about_a_dose_names_the_dose_and_its_day() -> None:
    assert tasks(a_plot(0), cans=(), clock=time(0)) == [
        Task(
            kind=TaskKind.NOT_READY,
            key="903:2027-04-10",
            household_id=HOME,
            dose_id=DOSE_ID,
            planting_id=PLANTING,
        )
    ]


@pytest.mark.parametrize(
    ("letter", "needs_call", "phone"),
    [
        pytest.param(None, False, True, id="no letter to answer with"),
        pytest.param("A", True, True, id="nobody reads"),
        pytest.param("A", False, False, id="no phone"),
    ],
)
@pytest.mark.parametrize(
    ("days_past", "clock", "opens"),
    [
        (-2, SIX, False),
        (-1, BEFORE_SIX, False),
        (-1, SIX, True),
        (0, SIX, True),
        (1, SIX, False),
        (3, SIX, False),
    ],
)
def test_who_cannot_be_texted_is_called_on_the_day_before_and_the_day(  # noqa: PLR0913 -- two tables
    letter: str | None, days_past: int, clock: time, *, needs_call: bool, phone: bool, opens: bool
) -> None:
    own = a_plot(days_past, letter=letter, needs_call=needs_call)

    found = tasks(own, clock=clock, phone=phone, texts=ONCE)

    assert kinds(found) == ([TaskKind.BY_CALL] if opens else [])


@pytest.mark.parametrize(
    ("days_past", "clock", "texts", "opens"),
    [
        (1, SIX, ONCE, False),
        (2, BEFORE_SIX, ONCE, False),
        (2, SIX, ONCE, True),
        (2, SIX, 2, True),
        (2, SIX, 0, False),
        (9, SIX, ONCE, True),
        (10, SIX, ONCE, False),
    ],
)
def test_silence_is_called_about_from_the_second_day_to_the_ninth(
    days_past: int, clock: time, texts: int, *, opens: bool
) -> None:
    found = tasks(a_plot(days_past), clock=clock, texts=texts)

    assert kinds(found) == ([TaskKind.SILENT] if opens else [])


def test_a_dose_that_is_over_is_called_about_whatever_is_in_the_cans() -> None:
    own = a_plot(7, state=DoseState.NOT_KNOWN, closes_in=-1)

    assert kinds(tasks(own, cans=(), texts=ONCE)) == [TaskKind.SILENT]


@pytest.mark.parametrize(
    ("waiting", "kind"),
    [("", TaskKind.SILENT), ("B", TaskKind.SILENT), ("BA", TaskKind.UNREAD)],
)
def test_an_answer_that_waits_to_be_read_is_no_silence(waiting: str, kind: TaskKind) -> None:
    assert kinds(tasks(a_plot(2), texts=ONCE, waiting=waiting)) == [kind]


@pytest.mark.parametrize(("days_past", "opens"), [(-1, False), (0, True), (1, True), (2, False)])
def test_a_dose_that_no_text_told_of_is_called_about_on_its_day_and_the_next(
    days_past: int, *, opens: bool
) -> None:
    found = tasks(a_plot(days_past), clock=time(0))

    assert kinds(found) == ([TaskKind.NOT_TOLD] if opens else [])


@pytest.mark.parametrize(("told_on", "opens"), [(TODAY, False), (date(2027, 4, 8), True)])
def test_a_dose_told_for_another_day_is_not_told(told_on: date, *, opens: bool) -> None:
    found = tasks(a_plot(0), texts=ONCE, told_on=told_on)

    assert kinds(found) == ([TaskKind.NOT_TOLD] if opens else [])


@pytest.mark.parametrize(("day", "opens"), [(10, True), (11, True), (12, False)])
def test_a_dose_due_before_the_plot_was_known_is_not_called_about(day: int, *, opens: bool) -> None:
    own = a_plot(0, recorded_at=datetime(2027, 4, day, 9, 0, tzinfo=UTC))

    assert kinds(tasks(own)) == ([TaskKind.NOT_TOLD] if opens else [])


@pytest.mark.parametrize(
    ("hazards", "clock", "opens"),
    [("well", BEFORE_SIX, False), ("well", SIX, True), (None, SIX, False)],
)
def test_ground_at_risk_is_asked_about_from_six_in_the_morning(
    hazards: str | None, clock: time, *, opens: bool
) -> None:
    found = tasks(planted(hazards=hazards, emergence_assumed=False), clock=clock)

    site = Task(kind=TaskKind.SITE, key="9:well", household_id=HOME, planting_id=PLANTING)
    assert found == ([site] if opens else [])


@pytest.mark.parametrize(
    ("days_past", "clock", "opens"),
    [
        (5, SIX, False),
        (6, BEFORE_SIX, False),
        (6, SIX, True),
        (20, SIX, True),
        (21, SIX, False),
    ],
)
def test_whether_plants_are_up_is_asked_by_call_from_the_sixth_day_to_the_twentieth(
    days_past: int, clock: time, *, opens: bool
) -> None:
    found = tasks(planted(emergence_on=add_days(TODAY, -days_past)), clock=clock)

    asked = Task(kind=TaskKind.EMERGENCE, key="9", household_id=HOME, planting_id=PLANTING)
    assert found == ([asked] if opens else [])


def test_a_call_about_seed_sown_again_is_another_call() -> None:
    own = planted(emergence_on=date(2027, 4, 1), facts=[a_fact(FactKind.RESOWN, date(2027, 3, 26))])

    assert [task.key for task in tasks(own)] == ["9:2027-03-26"]


@pytest.mark.parametrize(
    "own",
    [
        pytest.param(planted(emergence_on=date(2027, 4, 1), emergence_assumed=False), id="known"),
        pytest.param(planted(emergence_on=date(2027, 4, 1), crop="tomato"), id="set out"),
    ],
)
def test_there_are_plants_that_nobody_is_called_about(own: Planned) -> None:
    assert tasks(own) == []


@pytest.mark.parametrize(
    ("due_in", "clock", "opens"),
    [(22, SIX, False), (21, BEFORE_SIX, False), (21, SIX, True), (10, SIX, True)],
)
def test_cans_that_will_not_last_are_called_about_three_weeks_before(
    due_in: int, clock: time, *, opens: bool
) -> None:
    own = planted(doses=[a_dose(3, add_days(TODAY, due_in))], emergence_assumed=False)

    found = tasks(own, clock=clock, cans=())

    short = Task(kind=TaskKind.SHORT, key="6:9", household_id=HOME, planting_id=PLANTING)
    assert found == ([short] if opens else [])


def test_cans_that_last_are_not_called_about() -> None:
    own = planted(doses=[a_dose(3, add_days(TODAY, 10))], emergence_assumed=False)

    assert tasks(own) == []
