"""A dose is reported once; what breaks a rule is recorded, answered and shown to a person.

Maize on plot A, doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May; month = 30 days
(WHO 2006, vol. 4, as in the table of rules).
"""

from datetime import date

import pytest

from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import (
    Again,
    Desk,
    Done,
    LastDone,
    NeedsReading,
    NotDone,
    Outcome,
    TooMuch,
    Unready,
)
from service.planning.send_window import local_day
from service.records.fields import FactKind, Flag, Source
from service.records.holds import add_hold
from service.records.traffic import TaskKind
from tests.world import ZONE, Enrolled, World, doses, enrol
from tests.world_facts import by_call
from tests.world_looks import calls, dose, facts


def done(world: World, home: Enrolled, number: int, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_done(desk, home.planting_id, number, on=on))


def not_done(world: World, home: Enrolled, number: int) -> Outcome:
    return by_call(world, lambda desk: confirm_not_done(desk, home.planting_id, number))


def by_text(world: World, home: Enrolled, number: int, on: date) -> Outcome:
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.TEXT,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
        )
        return confirm_done(desk, home.planting_id, number, on=on)


def test_a_dose_done_on_its_day_is_noted_with_the_next_day(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")

    outcome = done(world, home, 1, date(2027, 3, 15))

    assert outcome == Done(
        code="A1", letter="A", on=date(2027, 3, 15), next_on=date(2027, 3, 28), moved=False
    )
    (fact,) = facts(world, home, FactKind.APPLIED)
    assert (fact.dose_number, fact.on, fact.flag) == (1, date(2027, 3, 15), None)
    assert fact.source is Source.CALL


def test_a_dose_done_late_moves_the_next_so_that_five_days_lie_between(world: World) -> None:
    """At least five days between doses: project rule in the table of rules."""
    home = enrol(world)
    world.tick("2027-04-02T12:00")

    outcome = done(world, home, 2, date(2027, 4, 2))

    assert isinstance(outcome, Done)
    assert (outcome.next_on, outcome.moved) == (date(2027, 4, 7), True)
    assert (date(2027, 4, 7) - date(2027, 4, 2)).days == 5


def test_the_same_report_twice_counts_once(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    done(world, home, 1, date(2027, 3, 15))

    outcome = done(world, home, 1, date(2027, 3, 15))

    assert outcome == Again(code="A1", on=date(2027, 3, 15))
    assert len(facts(world, home, FactKind.APPLIED)) == 1
    assert facts(world, home, FactKind.SECOND_REPORT) == []
    assert calls(world) == []


def test_a_second_report_of_another_day_is_kept_and_shown_once(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-17T05:00")
    done(world, home, 1, date(2027, 3, 15))

    outcomes = [done(world, home, 1, date(2027, 3, 17)) for _ in range(2)]

    assert outcomes == [Again(code="A1", on=date(2027, 3, 15))] * 2
    (second,) = facts(world, home, FactKind.SECOND_REPORT)
    assert (second.dose_number, second.on) == (1, date(2027, 3, 17))
    (task,) = calls(world, TaskKind.SECOND_REPORT)
    assert task.dose_id == dose(world, home, 1).id
    assert dose(world, home, 1).due_on == date(2027, 3, 15)


def test_a_report_closes_the_call_about_the_dose(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-17T06:00")
    before = calls(world, TaskKind.SILENT)

    done(world, home, 1, date(2027, 3, 16))

    assert len(before) == 1
    assert calls(world, TaskKind.SILENT) == []


@pytest.mark.parametrize(
    ("number", "on", "hint"),
    [
        pytest.param(9, date(2027, 3, 15), "no such dose", id="a dose that the plan lacks"),
        pytest.param(1, date(2027, 3, 19), "future", id="tomorrow"),
        pytest.param(1, date(2027, 3, 14), "before sowing", id="before the day of sowing"),
        pytest.param(2, date(2027, 3, 17), "not due yet", id="eleven days early"),
    ],
)
def test_a_report_that_cannot_be_true_goes_to_a_person_and_changes_nothing(
    world: World, number: int, on: date, hint: str
) -> None:
    home = enrol(world)
    world.tick("2027-03-18T12:00")

    outcome = done(world, home, number, on)

    assert outcome == NeedsReading(hint=hint)
    assert facts(world, home, FactKind.APPLIED) == []


def test_a_dose_is_not_older_than_the_one_before_it(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-03T12:00")
    done(world, home, 2, date(2027, 4, 3))

    outcome = done(world, home, 3, date(2027, 4, 2))

    assert outcome == NeedsReading(hint="before the dose before it")


@pytest.mark.parametrize(
    ("on", "taken"),
    [(date(2027, 3, 26), True), (date(2027, 3, 25), False)],
    ids=["two days before its day", "three days before"],
)
def test_a_dose_may_be_done_from_two_days_before_its_day(
    world: World, on: date, *, taken: bool
) -> None:
    home = enrol(world)
    world.tick("2027-03-26T12:00")

    assert isinstance(done(world, home, 2, on), Done) is taken


@pytest.mark.parametrize(
    ("on", "taken"),
    [(date(2027, 3, 16), True), (date(2027, 3, 15), False)],
    ids=["six days back", "seven days back"],
)
def test_a_text_reports_six_days_back_at_most_and_a_call_any(
    world: World, on: date, *, taken: bool
) -> None:
    home = enrol(world)
    world.tick("2027-03-22T12:00")

    told = by_text(world, home, 1, on)

    assert (told == NeedsReading(hint="too long ago")) is not taken
    assert isinstance(done(world, home, 1, on), Again if taken else Done)


def test_a_dose_from_a_can_not_ready_is_recorded_flagged_and_shown(world: World) -> None:
    """Sealed on 1 March, ready on 31 March; poured on 15 March."""
    home = enrol(world, sealed_on=date(2027, 3, 1))
    world.tick("2027-03-15T12:00")

    outcome = done(world, home, 1, date(2027, 3, 15))

    assert outcome == Unready(code="A1", letter="A", harvest_on=date(2027, 4, 14))
    (fact,) = facts(world, home, FactKind.APPLIED)
    assert fact.flag is Flag.NOT_READY
    shown = [row.key for row in calls(world, TaskKind.NOT_READY)]
    assert f"not-ready:reported:{home.planting_id}:1" in shown


def test_a_dose_after_the_last_day_is_recorded_with_the_harvest_day(world: World) -> None:
    """Maize of 125 days: the last dose two thirds in, 15 March + 83 days = 6 June."""
    home = enrol(world)
    world.tick("2027-05-15T18:00")
    world.tick("2027-06-07T12:00")

    outcome = done(world, home, 7, date(2027, 6, 7))

    assert isinstance(outcome, LastDone)
    assert outcome.harvest_on == date(2027, 7, 7)
    (fact,) = facts(world, home, FactKind.APPLIED)
    assert fact.flag is Flag.AFTER_CUTOFF
    assert len(calls(world, TaskKind.AFTER_CUTOFF)) == 1


def test_the_last_dose_is_answered_with_the_day_from_which_harvest_is_safe(world: World) -> None:
    home = enrol(world)
    world.tick("2027-05-16T12:00")

    outcome = done(world, home, 7, date(2027, 5, 16))

    assert outcome == LastDone(
        code="A7", letter="A", crop="maize-grain", harvest_on=date(2027, 6, 15)
    )
    assert (date(2027, 6, 15) - date(2027, 5, 16)).days == 30


def test_a_dose_that_a_rule_had_dropped_is_recorded_as_too_much(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-27T12:00")
    with world.services.sessions.begin() as session:
        add_hold(
            session,
            1,
            home.planting_id,
            first_on=date(2027, 3, 28),
            last_on=date(2027, 4, 2),
            source=Source.CALL,
            now=world.clock(),
        )
    done(world, home, 1, date(2027, 3, 27))
    world.tick("2027-03-29T12:00")

    outcome = done(world, home, 2, date(2027, 3, 29))

    assert isinstance(outcome, TooMuch)
    assert (outcome.letter, outcome.max_l) == ("A", 150)
    given = [row.urine_l for row in doses(world, home) if row.state == "done"]
    assert outcome.given_l == sum(given)
    assert len(given) == 2
    assert outcome.next_on == date(2027, 4, 4)
    assert [fact.flag for fact in facts(world, home, FactKind.APPLIED)] == [None, Flag.DROPPED]


def test_a_dose_not_done_may_still_be_until_its_window_ends(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")

    outcomes = [not_done(world, home, 1) for _ in range(2)]

    assert outcomes == [NotDone(code="A1", until=date(2027, 3, 21))] * 2
    assert len(facts(world, home, FactKind.NOT_APPLIED)) == 1


def test_not_done_closes_the_call_too(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-17T06:00")

    not_done(world, home, 1)

    assert calls(world) == []


def test_not_done_against_what_was_noted_goes_to_a_person(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    done(world, home, 1, date(2027, 3, 15))

    assert not_done(world, home, 1) == NeedsReading(hint="was noted as done")
    assert not_done(world, home, 9) == NeedsReading(hint="no such dose")


def test_a_dropped_dose_cannot_be_not_done(world: World) -> None:
    home = enrol(world, sealed_on=date(2027, 3, 10))
    world.tick("2027-03-22T12:00")

    assert not_done(world, home, 1) == NeedsReading(hint="no such dose")


def test_a_plot_without_a_letter_is_shown_with_a_dash(world: World) -> None:
    home = enrol(world, letter=None)
    world.tick("2027-03-15T12:00")

    outcome = done(world, home, 1, date(2027, 3, 15))

    assert isinstance(outcome, Done)
    assert (outcome.code, outcome.letter) == ("-1", "-")
