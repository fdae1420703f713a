"""Turns of a season: failed, sown again, put off, given before we knew, gone on after a burn.

Maize on plot A, planned for 15 March: doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May,
150 L in the season.
"""

from datetime import date

import pytest

from service.confirmations.crop_news import (
    confirm_burnt,
    confirm_harvest,
    confirm_rain,
    confirm_sown,
    confirm_up,
)
from service.confirmations.crop_turns import (
    confirm_failed,
    confirm_resown,
    given_elsewhere,
    go_on_after_burn,
    put_off,
)
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Again, NeedsReading, Outcome, Up
from service.confirmations.staff_outcomes import (
    Failed,
    GivenBefore,
    Resown,
    SownLater,
    TurnOutcome,
    WentOn,
)
from service.records.fields import DoseState, FactKind, Flag, PlantingRow
from service.records.traffic import CallTaskRow, TaskKind
from tests.world import Enrolled, World, doses, enrol
from tests.world_facts import another_plot, by_call
from tests.world_looks import calls, dose, facts, messages, rows


def failed(world: World, home: Enrolled, on: date) -> TurnOutcome:
    return by_call(world, lambda desk: confirm_failed(desk, home.planting_id, on=on))


def resown(world: World, home: Enrolled, on: date) -> TurnOutcome:
    return by_call(world, lambda desk: confirm_resown(desk, home.planting_id, on=on))


def put_off_to(world: World, home: Enrolled, on: date) -> TurnOutcome:
    return by_call(world, lambda desk: put_off(desk, home.planting_id, on=on))


def given(
    world: World, home: Enrolled, number: int, on: date, *, litres: float = 20
) -> TurnOutcome:
    return by_call(
        world,
        lambda desk: given_elsewhere(desk, home.planting_id, number, on=on, litres=litres),
    )


def gone_on(world: World, home: Enrolled) -> TurnOutcome:
    return by_call(world, lambda desk: go_on_after_burn(desk, home.planting_id))


def done(world: World, home: Enrolled, number: int, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_done(desk, home.planting_id, number, on=on))


def sown(world: World, home: Enrolled, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_sown(desk, home.planting_id, on=on))


def up(world: World, home: Enrolled, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=on))


def burnt(world: World, home: Enrolled) -> Outcome:
    return by_call(world, lambda desk: confirm_burnt(desk, home.planting_id))


def outcomes_of_tasks(world: World, kind: TaskKind) -> list[str | None]:
    return [row.outcome for row in rows(world, CallTaskRow) if row.kind is kind]


def test_a_failed_crop_closes_its_planting_and_drops_the_doses_to_come(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")
    done(world, home, 1, date(2027, 3, 15))

    outcome = failed(world, home, date(2027, 4, 5))

    assert outcome == Failed(letter="A", on=date(2027, 4, 5))
    assert [row.closed_on for row in rows(world, PlantingRow)] == [date(2027, 4, 5)]
    standing = {row.number: (row.state, row.reason) for row in doses(world, home)}
    assert standing[1] == (DoseState.DONE, None)
    assert standing[3] == (DoseState.NOT_KNOWN, None)
    assert [standing[number] for number in (4, 5, 6, 7)] == [(DoseState.DROPPED, "failed")] * 4


def test_the_calls_about_a_failed_crop_are_closed_and_no_text_follows(world: World) -> None:
    home = enrol(world)
    for at in ("2027-04-03T18:00", "2027-04-05T18:00", "2027-04-06T06:00"):
        world.tick(at)
    assert {row.kind for row in calls(world)} >= {TaskKind.SILENT, TaskKind.EMERGENCE}
    before = len(world.bodies())

    failed(world, home, date(2027, 4, 6))
    for at in ("2027-04-10T18:00", "2027-04-17T18:00", "2027-04-20T06:00"):
        world.tick(at)

    assert calls(world, TaskKind.SILENT, TaskKind.EMERGENCE) == []
    assert set(outcomes_of_tasks(world, TaskKind.EMERGENCE)) == {"crop failed"}
    assert len(world.bodies()) == before


def test_the_calls_about_another_crop_stay_open(world: World) -> None:
    home = enrol(world)
    other = another_plot(world, home, letter="D")
    world.tick("2027-04-06T06:00")

    failed(world, home, date(2027, 4, 6))

    assert {row.planting_id for row in calls(world, TaskKind.EMERGENCE)} == {other.planting_id}


@pytest.mark.parametrize(
    ("on", "hint"),
    [
        (date(2027, 4, 6), "future"),
        (date(2027, 3, 14), "before sowing"),
        (date(2027, 4, 3), "a dose was given after"),
    ],
)
def test_a_failure_on_a_day_that_cannot_be_is_refused(world: World, on: date, hint: str) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")
    done(world, home, 3, date(2027, 4, 4))

    assert failed(world, home, on) == NeedsReading(hint=hint)
    assert facts(world, home, FactKind.FAILED) == []


def test_nothing_more_is_noted_of_a_failed_crop(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")
    failed(world, home, date(2027, 4, 5))
    over = NeedsReading(hint="the planting is over")

    again = failed(world, home, date(2027, 4, 5))

    assert again == over
    assert resown(world, home, date(2027, 4, 5)) == over
    assert given(world, home, 1, date(2027, 3, 16)) == over
    assert put_off_to(world, home, date(2027, 4, 9)) == over
    assert gone_on(world, home) == over
    assert done(world, home, 1, date(2027, 3, 15)) == over
    assert by_call(world, lambda desk: confirm_not_done(desk, home.planting_id, 3)) == over
    assert len(facts(world, home, FactKind.FAILED)) == 1


def test_a_plot_sown_again_counts_from_that_day_though_doses_were_given(world: World) -> None:
    """Sown again on 29 March: up on 4 April as assumed, so dose 3 is due on 4 April + 14."""
    home = enrol(world)
    world.tick("2027-03-30T12:00")
    done(world, home, 1, date(2027, 3, 15))

    outcome = resown(world, home, date(2027, 3, 29))

    assert isinstance(outcome, Resown)
    assert (outcome.letter, outcome.on) == ("A", date(2027, 3, 29))
    assert dose(world, home, 3).due_on == date(2027, 4, 18)
    assert dose(world, home, 1).state is DoseState.DONE
    assert [fact.on for fact in facts(world, home, FactKind.APPLIED)] == [date(2027, 3, 15)]


def test_whether_the_new_seed_is_up_is_asked_again(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-22T12:00")
    up(world, home, date(2027, 3, 22))
    world.tick("2027-03-30T12:00")

    resown(world, home, date(2027, 3, 29))
    world.tick("2027-04-11T06:00")
    asked = [row.planting_id for row in calls(world, TaskKind.EMERGENCE)]
    told = up(world, home, date(2027, 4, 5))

    assert asked == [home.planting_id]
    assert isinstance(told, Up)
    assert calls(world, TaskKind.EMERGENCE) == []


def test_sowing_again_told_twice_counts_once(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-30T12:00")

    outcomes = [resown(world, home, date(2027, 3, 29)) for _ in range(2)]

    assert outcomes[0] == outcomes[1]
    assert len(facts(world, home, FactKind.RESOWN)) == 1


@pytest.mark.parametrize(
    ("on", "hint"),
    [
        (date(2027, 3, 31), "future"),
        (date(2027, 3, 15), "sown again before it was sown"),
        (date(2027, 3, 14), "sown again before it was sown"),
        (date(2027, 3, 22), "plants were up after"),
    ],
)
def test_sowing_again_on_a_day_that_cannot_be_is_refused(world: World, on: date, hint: str) -> None:
    home = enrol(world)
    world.tick("2027-03-30T12:00")
    up(world, home, date(2027, 3, 22))

    assert resown(world, home, on) == NeedsReading(hint=hint)
    assert facts(world, home, FactKind.RESOWN) == []


def test_a_sowing_put_off_moves_the_whole_plan(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    outcomes = [put_off_to(world, home, date(2027, 3, 20)) for _ in range(2)]

    later = SownLater(letter="A", on=date(2027, 3, 20), next_on=date(2027, 3, 20))
    assert outcomes == [later, later]
    assert dose(world, home, 1).due_on == date(2027, 3, 20)
    assert dose(world, home, 3).due_on == date(2027, 4, 9)
    assert len(facts(world, home, FactKind.PUT_OFF)) == 1


def test_a_sowing_that_was_put_off_may_be_put_off_again_and_then_told(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    put_off_to(world, home, date(2027, 3, 20))
    put_off_to(world, home, date(2027, 3, 12))
    world.tick("2027-03-13T12:00")

    sown(world, home, date(2027, 3, 13))

    assert dose(world, home, 1).due_on == date(2027, 3, 13)
    assert put_off_to(world, home, date(2027, 3, 20)) == NeedsReading(hint="sowing was told")


@pytest.mark.parametrize(
    ("on", "hint"),
    [
        (date(2027, 3, 15), "planned for a day gone by"),
        (date(2029, 3, 20), "planned for years from now"),
    ],
)
def test_a_sowing_is_put_off_only_to_a_day_to_come(world: World, on: date, hint: str) -> None:
    home = enrol(world)
    world.tick("2027-03-16T12:00")

    assert put_off_to(world, home, on) == NeedsReading(hint=hint)
    assert facts(world, home, FactKind.PUT_OFF) == []


def test_a_sowing_is_not_put_off_once_a_dose_is_given_or_plants_are_up(world: World) -> None:
    planned = enrol(world)
    grown = another_plot(world, planned, letter="D")
    world.tick("2027-03-22T12:00")
    done(world, planned, 1, date(2027, 3, 15))
    up(world, grown, date(2027, 3, 21))

    after_dose = put_off_to(world, planned, date(2027, 3, 30))
    after_up = put_off_to(world, grown, date(2027, 3, 30))

    assert after_dose == NeedsReading(hint="a dose was given already")
    assert after_up == NeedsReading(hint="plants were up before")


def test_a_dose_given_before_we_knew_counts_with_its_own_litres(world: World) -> None:
    """150 L in the season: 60 L are given, so six doses share the 90 L left, 15 L each."""
    home = enrol(world)
    world.tick("2027-03-20T12:00")

    outcome = given(world, home, 1, date(2027, 3, 15), litres=60)

    assert outcome == GivenBefore(
        code="A1", on=date(2027, 3, 15), litres=60, next_on=date(2027, 3, 28)
    )
    first = dose(world, home, 1)
    assert (first.state, first.due_on, first.urine_l) == (DoseState.DONE, date(2027, 3, 15), 60)
    assert [dose(world, home, number).urine_l for number in range(2, 8)] == [15] * 6
    assert [fact.litres for fact in facts(world, home, FactKind.ELSEWHERE)] == [60]


def test_a_dose_given_before_we_knew_is_one_dose_however_told_again(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-20T12:00")
    given(world, home, 1, date(2027, 3, 15))

    by_report = done(world, home, 1, date(2027, 3, 16))
    by_hand = given(world, home, 1, date(2027, 3, 16))

    assert by_report == Again(code="A1", on=date(2027, 3, 15))
    assert by_hand == NeedsReading(hint="was noted as done")
    assert facts(world, home, FactKind.APPLIED) == []
    assert len(facts(world, home, FactKind.ELSEWHERE)) == 1


@pytest.mark.parametrize(
    ("number", "on", "litres", "hint"),
    [
        pytest.param(9, date(2027, 4, 5), 20, "no such dose", id="a ninth dose"),
        pytest.param(3, date(2027, 4, 6), 20, "future", id="tomorrow"),
        pytest.param(3, date(2027, 3, 14), 20, "before sowing", id="before sowing"),
        pytest.param(2, date(2027, 3, 28), 20, "was noted as done", id="given already"),
        pytest.param(
            3, date(2027, 3, 20), 20, "before the dose before it", id="before the dose before"
        ),
        pytest.param(3, date(2027, 4, 4), 0, "no litres", id="none at all"),
        pytest.param(3, date(2027, 4, 4), -1, "no litres", id="less than none"),
        pytest.param(
            3, date(2027, 4, 4), 150.5, "more than the season's litres", id="over the season's"
        ),
    ],
)
def test_a_dose_given_before_that_cannot_be_is_refused(
    world: World, number: int, on: date, litres: float, hint: str
) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")
    done(world, home, 2, date(2027, 3, 28))

    assert given(world, home, number, on, litres=litres) == NeedsReading(hint=hint)
    assert facts(world, home, FactKind.ELSEWHERE) == []


def test_a_dose_given_before_after_the_last_day_is_kept_and_shown(world: World) -> None:
    """The last day for a dose is 6 June: two thirds of 125 days after 15 March."""
    home = enrol(world)
    world.tick("2027-06-10T12:00")

    given(world, home, 7, date(2027, 6, 8))

    assert [fact.flag for fact in facts(world, home, FactKind.ELSEWHERE)] == [Flag.AFTER_CUTOFF]
    assert [row.planting_id for row in calls(world, TaskKind.AFTER_CUTOFF)] == [home.planting_id]


def test_a_person_who_has_looked_lets_the_doses_go_on_at_once(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-11T12:00")
    burnt(world, home)
    held = dose(world, home, 4)
    world.tick("2027-04-12T12:00")

    outcome = gone_on(world, home)

    assert (held.state, held.due_on) == (DoseState.DROPPED, date(2027, 4, 11))
    assert outcome == WentOn(letter="A", next_on=date(2027, 4, 12))
    assert calls(world, TaskKind.BURNT) == []
    assert outcomes_of_tasks(world, TaskKind.BURNT) == ["doses go on"]


def test_going_on_told_twice_counts_once_and_a_later_burn_waits_again(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-03T12:00")
    burnt(world, home)
    outcomes = [gone_on(world, home) for _ in range(2)]
    world.tick("2027-04-05T12:00")

    burnt(world, home)

    assert outcomes[0] == outcomes[1]
    assert len(facts(world, home, FactKind.GO_ON)) == 1
    assert dose(world, home, 3).state is DoseState.DROPPED
    assert dose(world, home, 4).due_on == date(2027, 4, 12)
    assert len(calls(world, TaskKind.BURNT)) == 1


def test_leaves_burnt_again_on_the_day_a_person_looked_hold_the_doses_again(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-11T08:00")
    burnt(world, home)
    world.tick("2027-04-11T10:00")
    gone_on(world, home)
    world.tick("2027-04-11T16:00")

    burnt(world, home)
    burnt(world, home)

    assert dose(world, home, 4).state is DoseState.DROPPED
    assert len(facts(world, home, FactKind.BURNT)) == 2
    assert len(calls(world, TaskKind.BURNT)) == 1


def test_who_has_looked_at_burnt_leaves_lifts_no_hold_for_rain(world: World) -> None:
    """Rain told on the 11th holds to the 12th; the burn of that day would hold to the 17th."""
    home = enrol(world)
    world.tick("2027-04-11T08:00")
    by_call(world, lambda desk: confirm_rain(desk, home.planting_id))
    world.tick("2027-04-11T09:00")
    burnt(world, home)
    world.tick("2027-04-11T10:00")

    gone_on(world, home)

    assert (dose(world, home, 4).state, dose(world, home, 4).due_on) == (
        DoseState.PLANNED,
        date(2027, 4, 13),
    )


def test_each_time_that_doses_go_on_the_grower_hears_of_it(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-12T06:00")
    burnt(world, home)
    world.tick("2027-04-12T08:00")
    gone_on(world, home)
    world.tick("2027-04-12T18:00")
    burnt(world, home)
    world.tick("2027-04-12T18:30")

    gone_on(world, home)
    for day in (13, 14, 15):
        world.tick(f"2027-04-{day}T18:00")

    told = [row for row in messages(world, "burn_on") if row.token is not None]
    assert [row.evening.day for row in told if row.evening] == [
        12,
        14,
    ]  # on the 13th a dose is spoken of


def test_nothing_goes_on_where_no_leaves_are_burnt(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-03T12:00")

    assert gone_on(world, home) == NeedsReading(hint="no burnt leaves")


def test_a_harvest_frees_what_was_kept_for_its_doses(world: World) -> None:
    """200 L are sealed; both plots want 150 L; plot D gets its whole share once A is cut."""
    home = enrol(world)
    other = another_plot(world, home, letter="D", planted_on=date(2027, 3, 14))
    world.tick("2027-03-16T12:00")

    by_call(world, lambda desk: confirm_harvest(desk, home.planting_id, on=desk.today))

    assert [row.closed_on for row in rows(world, PlantingRow)] == [date(2027, 3, 16), None]
    assert all(row.short_l == 0 for row in doses(world, other))
