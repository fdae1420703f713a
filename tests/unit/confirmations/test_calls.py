"""What a call brings: facts, further tries, and tasks that are settled once."""

from datetime import date
from pathlib import Path

import pytest

from gateway_adapters.fake_script import NoAnswer
from service.confirmations.calls import (
    Answer,
    CallResult,
    PutOff,
    Said,
    Settled,
    SettledBefore,
    about_task,
    answers_to,
    settle_call,
)
from service.confirmations.outcomes import Desk, NeedsReading, NotDone, Up
from service.confirmations.outcomes import Done as DoseDone
from service.planning.send_window import local_day
from service.records.fields import DoseState, FactKind, Source
from service.records.people import AuditRow
from service.records.phones import phone_by_id
from service.records.tasks import Task, open_task
from service.records.traffic import CallTaskRow, TaskKind
from tests.world import ZONE, Enrolled, World, enrol, tick_through
from tests.world_facts import another_phone
from tests.world_looks import calls, dose, facts, rows

WHO = "Neema Test"


def settle(world: World, task_id: int, answer: Answer, *, who: str = WHO) -> CallResult:
    """Settle a task as a member of staff does."""
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.CALL,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
            noted_by=who,
        )
        return settle_call(desk, task_id, answer)


def made_task(world: World, kind: TaskKind, home: Enrolled, *, number: int | None = None) -> int:
    """Open a task of a kind about a household's planting, and one of its doses."""
    with world.services.sessions.begin() as session:
        task = Task(
            kind=kind,
            key=f"made:{kind.value}",
            household_id=home.household_id,
            planting_id=home.planting_id,
            dose_id=None if number is None else dose(world, home, number).id,
        )
        made = open_task(session, 1, task, now=world.clock())
    assert made is not None
    return made


def task_row(world: World, task_id: int) -> CallTaskRow:
    """Return a task as it stands."""
    return next(row for row in rows(world, CallTaskRow) if row.id == task_id)


def allowed(world: World, task_id: int) -> tuple[Said, ...]:
    """Return what may come of a task's call."""
    with world.services.sessions.read() as session:
        task = task_row(world, task_id)
        return answers_to(task, about_task(session, 1, task))


@pytest.fixture
def home(world: World) -> Enrolled:
    """A household on the morning on which dose 2 of plot A has been silent for two days."""
    made = enrol(world)
    tick_through(world, date(2027, 3, 27), date(2027, 3, 30), hours=("06:00", "18:00"))
    return made


@pytest.fixture
def silent(world: World, home: Enrolled) -> int:
    """The call about the silent dose."""
    (task,) = calls(world, TaskKind.SILENT)
    assert task.dose_id == dose(world, home, 2).id
    return task.id


def test_a_dose_told_by_call_is_a_fact_with_its_day_and_who_wrote_it_down(
    world: World, home: Enrolled, silent: int
) -> None:
    on = date(2027, 3, 29)

    result = settle(world, silent, Answer(said=Said.DONE, on=on))

    assert isinstance(result, Settled)
    assert isinstance(result.report, DoseDone)
    (fact,) = facts(world, home, FactKind.APPLIED)
    assert (fact.on, fact.source, fact.noted_by) == (on, Source.CALL, WHO)
    row = task_row(world, silent)
    assert (row.outcome, row.closed_by) == ("done 2027-03-29", WHO)
    assert rows(world, AuditRow)[-1].detail == {"as": "done 2027-03-29"}


def test_a_dose_not_done_is_a_fact_too(world: World, home: Enrolled, silent: int) -> None:
    result = settle(world, silent, Answer(said=Said.NOT_DONE))

    assert isinstance(result, Settled)
    assert isinstance(result.report, NotDone)
    assert dose(world, home, 2).state is DoseState.NOT_DONE
    assert task_row(world, silent).outcome == "not done"


def test_other_calls_about_the_same_dose_are_settled_with_it(
    world: World, home: Enrolled, silent: int
) -> None:
    others = [
        made_task(world, kind, home, number=2) for kind in (TaskKind.NO_ROOM, TaskKind.UNREAD)
    ]
    settle(world, silent, Answer(said=Said.DONE, on=date(2027, 3, 29)))

    assert [task_row(world, task_id).outcome for task_id in others] == ["told by the grower"] * 2


def test_a_day_that_cannot_be_right_changes_nothing(
    world: World, home: Enrolled, silent: int
) -> None:
    result = settle(world, silent, Answer(said=Said.DONE, on=date(2027, 4, 20)))

    assert result == NeedsReading(hint="future")
    assert facts(world, home, FactKind.APPLIED) == []
    assert task_row(world, silent).closed_at is None


def test_nobody_answers_so_it_is_tried_three_times(world: World, silent: int) -> None:
    """T2: no answer -> again tomorrow, 3 tries."""
    first = settle(world, silent, Answer(said=Said.NO_ANSWER))
    world.tick("2027-03-31T09:00")
    second = settle(world, silent, Answer(said=Said.NO_ANSWER))
    world.tick("2027-04-01T09:00")
    third = settle(world, silent, Answer(said=Said.NO_ANSWER))

    assert first == PutOff(said=Said.NO_ANSWER, until=date(2027, 3, 31), tries=1)
    assert second == PutOff(said=Said.NO_ANSWER, until=date(2027, 4, 1), tries=2)
    assert third == Settled(said=Said.NO_ANSWER, tries=3)
    assert task_row(world, silent).outcome == "no answer"


def test_plants_not_up_yet_are_asked_about_again_in_three_days(
    world: World, home: Enrolled
) -> None:
    task_id = made_task(world, TaskKind.EMERGENCE, home)

    result = settle(world, task_id, Answer(said=Said.NOT_YET))

    assert result == PutOff(said=Said.NOT_YET, until=date(2027, 4, 2), tries=0)
    assert task_row(world, task_id).closed_at is None


def test_the_day_on_which_plants_came_up_is_a_fact(world: World, home: Enrolled) -> None:
    task_id = made_task(world, TaskKind.EMERGENCE, home)

    result = settle(world, task_id, Answer(said=Said.UP, on=date(2027, 3, 24)))

    assert isinstance(result, Settled)
    assert isinstance(result.report, Up)
    assert [fact.on for fact in facts(world, home, FactKind.EMERGED)] == [date(2027, 3, 24)]
    assert task_row(world, task_id).outcome == "up 2027-03-24"


def test_plants_cannot_be_up_since_a_day_to_come(world: World, home: Enrolled) -> None:
    task_id = made_task(world, TaskKind.EMERGENCE, home)

    result = settle(world, task_id, Answer(said=Said.UP, on=date(2027, 4, 24)))

    assert result == NeedsReading(hint="future")


@pytest.mark.parametrize("said", [Said.WRONG_NUMBER, Said.MOVED, Said.STOP])
def test_a_phone_of_strangers_or_of_people_who_left_gets_nothing_more(
    world: World, home: Enrolled, silent: int, said: Said
) -> None:
    settle(world, silent, Answer(said=said))

    with world.services.sessions.read() as session:
        assert phone_by_id(session, 1, home.phone_id).stopped()
    assert task_row(world, silent).outcome == said.value


def test_of_two_phones_only_the_wrong_one_is_stopped(
    world: World, home: Enrolled, silent: int
) -> None:
    other = another_phone(world, home, number="+255100000007")
    settle(world, silent, Answer(said=Said.WRONG_NUMBER, phone_id=other))

    with world.services.sessions.read() as session:
        assert not phone_by_id(session, 1, home.phone_id).stopped()
        assert phone_by_id(session, 1, other).stopped()


def test_a_phone_of_somebody_else_is_not_stopped(world: World, home: Enrolled, silent: int) -> None:
    other = enrol(world, code="H02", number="+255100000007", letter="D")

    with pytest.raises(ValueError, match="no such phone"):
        settle(world, silent, Answer(said=Said.WRONG_NUMBER, phone_id=other.phone_id))
    with world.services.sessions.read() as session:
        assert not phone_by_id(session, 1, home.phone_id).stopped()


def test_the_first_outcome_stands(world: World, home: Enrolled, silent: int) -> None:
    settle(world, silent, Answer(said=Said.NOT_DONE), who="Juma Test")

    result = settle(world, silent, Answer(said=Said.DONE, on=date(2027, 3, 29)))

    assert isinstance(result, SettledBefore)
    assert (result.task.closed_by, result.task.outcome) == ("Juma Test", "not done")
    assert facts(world, home, FactKind.APPLIED) == []


@pytest.mark.parametrize(
    ("kind", "number", "news"),
    [
        pytest.param(TaskKind.NO_ROOM, 2, (Said.TOLD, Said.DONE, Said.NOT_DONE), id="no room"),
        pytest.param(TaskKind.UNREAD, 2, (Said.DONE, Said.NOT_DONE), id="unread, with a dose"),
        pytest.param(TaskKind.UNREAD, None, (Said.SPOKEN,), id="unread, without"),
        pytest.param(TaskKind.EMERGENCE, None, (Said.UP, Said.NOT_YET), id="emergence"),
        pytest.param(TaskKind.BURNT, None, (Said.SPOKEN,), id="burnt"),
    ],
)
def test_each_kind_of_call_has_its_own_outcomes(
    world: World, home: Enrolled, kind: TaskKind, number: int | None, news: tuple[Said, ...]
) -> None:
    task_id = made_task(world, kind, home, number=number)

    assert allowed(world, task_id) == (
        *news,
        Said.NO_ANSWER,
        Said.WRONG_NUMBER,
        Said.MOVED,
        Said.STOP,
    )


def test_an_outcome_that_does_not_fit_the_call_is_refused(world: World, silent: int) -> None:
    with pytest.raises(ValueError, match="cannot end with"):
        settle(world, silent, Answer(said=Said.UP, on=date(2027, 3, 24)))


def test_an_outcome_with_a_day_needs_it(world: World, silent: int) -> None:
    with pytest.raises(ValueError, match="needs a day"):
        settle(world, silent, Answer(said=Said.DONE))


def test_a_text_that_may_not_have_left_speaks_for_its_one_dose(tmp_path: Path) -> None:
    world = World(folder=tmp_path)
    home = enrol(world)
    world.tick("2027-03-27T17:50")
    world.gateway.script = [NoAnswer(delivered=False)]
    world.tick("2027-03-27T18:00")
    world.tick("2027-03-27T18:05")
    (task,) = calls(world, TaskKind.UNKNOWN)

    settle(world, task.id, Answer(said=Said.DONE, on=date(2027, 3, 27)))

    assert [fact.dose_number for fact in facts(world, home, FactKind.APPLIED)] == [2]
    world.close()
