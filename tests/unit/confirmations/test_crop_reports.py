"""News of the crop: sown, up, rain, burnt leaves, harvest.

Maize on plot A, doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May.
"""

from collections.abc import Callable
from datetime import date

import pytest

from service.confirmations.crop_news import (
    confirm_burnt,
    confirm_harvest,
    confirm_rain,
    confirm_sown,
    confirm_up,
)
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import (
    Burnt,
    Harvested,
    Held,
    NeedsReading,
    Outcome,
    Sown,
    Up,
)
from service.records.fields import (
    FactKind,
    Flag,
    HoldRow,
)
from service.records.traffic import TaskKind
from tests.world import Enrolled, World, doses, enrol
from tests.world_facts import by_call
from tests.world_looks import calls, dose, facts, rows


def done(world: World, home: Enrolled, number: int, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_done(desk, home.planting_id, number, on=on))


def sown(world: World, home: Enrolled, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_sown(desk, home.planting_id, on=on))


def up(world: World, home: Enrolled, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=on))


def rain(world: World, home: Enrolled) -> Outcome:
    return by_call(world, lambda desk: confirm_rain(desk, home.planting_id))


def burnt(world: World, home: Enrolled) -> Outcome:
    return by_call(world, lambda desk: confirm_burnt(desk, home.planting_id))


def harvest(world: World, home: Enrolled, on: date) -> Outcome:
    return by_call(world, lambda desk: confirm_harvest(desk, home.planting_id, on=on))


def test_the_told_day_of_sowing_moves_the_whole_season(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-18T12:00")

    outcome = sown(world, home, date(2027, 3, 18))

    assert outcome == Sown(
        letter="A", crop="maize-grain", on=date(2027, 3, 18), next_on=date(2027, 3, 31)
    )
    assert dose(world, home, 1).due_on == date(2027, 3, 18)


def test_the_day_as_planned_is_told_once(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")

    for _ in range(2):
        sown(world, home, date(2027, 3, 15))

    assert [fact.on for fact in facts(world, home, FactKind.SOWN)] == [date(2027, 3, 15)]


def test_sowing_after_a_dose_or_after_the_plants_were_up_goes_to_a_person(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-25T12:00")
    up(world, home, date(2027, 3, 24))
    after_up = sown(world, home, date(2027, 3, 24))
    done(world, home, 1, date(2027, 3, 16))

    after_dose = sown(world, home, date(2027, 3, 17))

    assert after_up == NeedsReading(hint="plants were up before")
    assert after_dose == NeedsReading(hint="a dose was given before")
    assert facts(world, home, FactKind.SOWN) == []


def test_the_day_plants_came_up_moves_what_follows(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-25T12:00")

    outcomes = [up(world, home, date(2027, 3, 24)) for _ in range(2)]

    assert outcomes == [Up(letter="A", on=date(2027, 3, 24), next_on=date(2027, 3, 31))] * 2
    assert len(facts(world, home, FactKind.EMERGED)) == 1


@pytest.mark.parametrize(
    ("on", "taken"),
    [(date(2027, 3, 17), False), (date(2027, 3, 18), True), (date(2027, 3, 14), False)],
    ids=["after two of six days", "after half the usual days", "before sowing"],
)
def test_plants_up_in_less_than_half_the_usual_days_are_doubted(
    world: World, on: date, *, taken: bool
) -> None:
    """Maize comes up in six days: the crop table."""
    home = enrol(world)
    world.tick("2027-03-19T12:00")

    outcome = up(world, home, on)

    assert (outcome == NeedsReading(hint="up too soon after sowing")) is not taken


@pytest.mark.parametrize(
    ("at", "moved_to"),
    [
        pytest.param("2027-05-01T12:00", date(2027, 5, 4), id="the day before"),
        pytest.param("2027-05-02T12:00", date(2027, 5, 4), id="on its day"),
        pytest.param("2027-05-03T12:00", date(2027, 5, 5), id="when it is open already"),
    ],
)
def test_rain_holds_the_open_or_next_dose_for_two_days(
    world: World, at: str, moved_to: date
) -> None:
    home = enrol(world)
    world.tick(at)

    outcomes = [rain(world, home) for _ in range(2)]

    assert outcomes == [Held(code="A6", letter="A", next_on=moved_to)] * 2
    assert len(rows(world, HoldRow)) == 1


def test_rain_again_the_next_day_holds_two_days_from_there(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    first = rain(world, home)
    world.tick("2027-03-16T12:00")

    second = rain(world, home)

    assert first == Held(code="A1", letter="A", next_on=date(2027, 3, 17))
    assert second == Held(code="A1", letter="A", next_on=date(2027, 3, 19))


def test_a_dose_held_too_near_to_the_next_is_left_out(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-08T12:00")
    for number, on in ((1, date(2027, 3, 15)), (2, date(2027, 3, 28))):
        done(world, home, number, on)

    outcome = rain(world, home)

    assert outcome == Held(code="A3", letter="A", next_on=None)
    assert dose(world, home, 3).reason == "hold"


def test_rain_without_a_dose_to_hold_goes_to_a_person(world: World) -> None:
    home = enrol(world)
    world.tick("2027-05-23T12:00")

    assert rain(world, home) == NeedsReading(hint="no dose to hold")


def test_burnt_leaves_hold_the_next_dose_for_a_week_and_call_a_person(world: World) -> None:
    """Seven days: project choice."""
    home = enrol(world)
    world.tick("2027-04-19T12:00")
    for number, on in ((4, date(2027, 4, 11)), (5, date(2027, 4, 18))):
        done(world, home, number, on)

    outcomes = [burnt(world, home) for _ in range(2)]

    assert outcomes == [Burnt(letter="A")] * 2
    assert dose(world, home, 6).due_on == date(2027, 5, 9)
    assert len(facts(world, home, FactKind.BURNT)) == 1
    (task,) = calls(world, TaskKind.BURNT)
    assert (task.planting_id, task.household_id) == (home.planting_id, home.household_id)


def test_burnt_leaves_on_a_day_of_rain_still_hold_for_the_whole_week(world: World) -> None:
    home = enrol(world)
    world.tick("2027-04-19T12:00")
    for number, on in ((4, date(2027, 4, 11)), (5, date(2027, 4, 18))):
        done(world, home, number, on)
    rain(world, home)

    burnt(world, home)

    assert dose(world, home, 6).due_on >= date(2027, 5, 9)
    assert [row.last_on for row in rows(world, HoldRow)] == [date(2027, 5, 3), date(2027, 5, 10)]


def test_burnt_leaves_after_the_last_dose_are_shown_all_the_same(world: World) -> None:
    home = enrol(world)
    world.tick("2027-05-23T12:00")

    assert burnt(world, home) == Burnt(letter="A")
    assert len(calls(world, TaskKind.BURNT)) == 1
    assert rows(world, HoldRow) == []


def test_a_harvest_after_the_safe_day_ends_the_planting(world: World) -> None:
    home = enrol(world)
    world.tick("2027-06-22T12:00")

    outcome = harvest(world, home, date(2027, 6, 22))
    world.tick("2027-06-23T12:00")

    assert outcome == Harvested(letter="A", on=date(2027, 6, 22), safe_on=None)
    assert [fact.flag for fact in facts(world, home, FactKind.HARVESTED)] == [None]
    assert calls(world, TaskKind.EARLY_HARVEST) == []


def test_a_harvest_before_the_safe_day_is_recorded_flagged_and_shown(world: World) -> None:
    """A dose done on 28 March: safe from 27 April."""
    home = enrol(world)
    world.tick("2027-03-28T12:00")
    done(world, home, 2, date(2027, 3, 28))
    world.tick("2027-03-30T12:00")

    outcomes = [harvest(world, home, date(2027, 3, 30)) for _ in range(2)]

    assert outcomes == [Harvested(letter="A", on=date(2027, 3, 30), safe_on=date(2027, 4, 27))] * 2
    assert [fact.flag for fact in facts(world, home, FactKind.HARVESTED)] == [Flag.TOO_EARLY]
    assert len(calls(world, TaskKind.EARLY_HARVEST)) == 1


def test_a_harvest_drops_what_was_to_come_and_leaves_open_what_was_due(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    done(world, home, 1, date(2027, 3, 15))
    world.tick("2027-03-29T12:00")

    harvest(world, home, date(2027, 3, 29))

    assert [(row.state.value, row.reason) for row in doses(world, home)] == [
        ("done", None),
        ("not-known", None),
        *[("dropped", "harvested")] * 5,
    ]


def test_plants_told_to_be_up_need_no_call_any_more(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-27T06:30")
    assert [task.planting_id for task in calls(world, TaskKind.EMERGENCE)] == [home.planting_id]

    up(world, home, date(2027, 3, 21))

    assert calls(world, TaskKind.EMERGENCE) == []


@pytest.mark.parametrize(
    "report",
    [
        pytest.param(lambda world, home: done(world, home, 2, date(2027, 3, 28)), id="done"),
        pytest.param(
            lambda world, home: by_call(
                world, lambda desk: confirm_not_done(desk, home.planting_id, 2)
            ),
            id="not done",
        ),
        pytest.param(lambda world, home: sown(world, home, date(2027, 3, 16)), id="sown"),
        pytest.param(lambda world, home: up(world, home, date(2027, 3, 22)), id="up"),
        pytest.param(rain, id="rain"),
        pytest.param(burnt, id="burnt"),
    ],
)
def test_nothing_is_noted_for_a_crop_that_was_harvested(
    world: World, report: Callable[[World, Enrolled], Outcome]
) -> None:
    home = enrol(world)
    world.tick("2027-04-01T12:00")
    harvest(world, home, date(2027, 4, 1))
    before = [(row.number, row.state) for row in doses(world, home)]

    assert isinstance(report(world, home), NeedsReading)

    assert [(row.number, row.state) for row in doses(world, home)] == before


@pytest.mark.parametrize("report", [sown, up, harvest])
def test_a_day_to_come_goes_to_a_person(
    world: World, report: Callable[[World, Enrolled, date], Outcome]
) -> None:
    home = enrol(world)
    world.tick("2027-04-01T12:00")

    assert report(world, home, date(2027, 4, 2)) == NeedsReading(hint="future")
