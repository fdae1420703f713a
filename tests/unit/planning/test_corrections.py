"""A dose that was told and is no longer right is put right at once."""

from datetime import date

import pytest

from service.records.fields import PlotRow, Source
from service.records.holds import add_hold
from service.records.localities import AreaHoldRow
from service.records.traffic import TaskKind
from tests.world import ZONE, Enrolled, World, dose_days, enrol
from tests.world_looks import calls, messages

RAINY = "Heavy rain expected. Hold A2; do not pour on wet or running ground."


def told_of_dose_two(world: World) -> Enrolled:
    """Return a home that was told on 27 March of dose 2 on the 28th."""
    enrolled = enrol(world)
    world.text("A UP", at="2027-03-21T10:00")
    world.tick("2027-03-27T18:00")
    return enrolled


def hold_area(world: World, first_on: date, last_on: date) -> None:
    with world.services.sessions.begin() as session:
        session.add(
            AreaHoldRow(
                association_id=1,
                area_id=None,
                first_on=first_on,
                last_on=last_on,
                noted_by="Coordinator",
                recorded_at=world.clock(),
            )
        )


def hold_planting(world: World, enrolled: Enrolled, *, source: Source) -> None:
    with world.services.sessions.begin() as session:
        add_hold(
            session,
            1,
            enrolled.planting_id,
            first_on=date(2027, 3, 28),
            last_on=date(2027, 3, 29),
            source=source,
            now=world.clock(),
        )


def test_a_hold_after_the_reminder_is_told_at_once_though_a_text_went_that_evening(
    world: World,
) -> None:
    told_of_dose_two(world)
    hold_area(world, date(2027, 3, 28), date(2027, 3, 29))

    world.tick("2027-03-27T19:00")

    assert world.bodies()[-1].startswith(RAINY)
    assert not calls(world, TaskKind.HELD)


def test_a_hold_at_night_is_told_at_six_and_a_person_is_asked_to_call(world: World) -> None:
    told_of_dose_two(world)
    hold_area(world, date(2027, 3, 28), date(2027, 3, 29))

    world.tick("2027-03-27T22:00")
    night = len(world.bodies())
    world.tick("2027-03-28T05:59")
    before = len(world.bodies())
    world.tick("2027-03-28T06:00")

    assert night == before == len(world.bodies()) - 1
    assert world.bodies()[-1].startswith(RAINY)
    assert len(calls(world, TaskKind.HELD)) == 1


def test_a_correction_is_said_once(world: World) -> None:
    told_of_dose_two(world)
    hold_area(world, date(2027, 3, 28), date(2027, 3, 29))
    for clock in ("2027-03-27T19:00", "2027-03-27T19:30", "2027-03-28T07:00"):
        world.tick(clock)

    assert len(messages(world, "rain_hold")) == 1


def test_when_it_is_time_the_new_day_is_told_as_a_new_day(world: World) -> None:
    enrolled = told_of_dose_two(world)
    hold_area(world, date(2027, 3, 28), date(2027, 3, 29))
    world.tick("2027-03-27T19:00")

    world.tick("2027-03-29T18:00")

    assert dose_days(world, enrolled)[2] == date(2027, 3, 30)
    assert world.bodies()[-1].startswith("New day for A2: Tue 30 Mar, not the day we wrote.")


def test_a_dose_dropped_for_another_reason_is_withdrawn(world: World) -> None:
    enrolled = told_of_dose_two(world)
    with world.services.sessions.begin() as session:
        session.get_one(PlotRow, enrolled.plot_id).hazards = "floods"

    world.tick("2027-03-27T19:00")

    assert world.bodies()[-1].startswith("Change of plan: please leave out A2.")


@pytest.mark.parametrize(
    ("source", "texts"), [(Source.TEXT, 0), (Source.CALL, 1)], ids=["their own", "a call"]
)
def test_what_a_growers_own_text_moved_is_not_corrected(
    world: World, source: Source, texts: int
) -> None:
    enrolled = told_of_dose_two(world)
    hold_planting(world, enrolled, source=source)

    world.tick("2027-03-27T19:00")

    assert len(messages(world, "rain_hold")) == texts


def test_a_dose_told_and_given_needs_no_correction(world: World) -> None:
    told_of_dose_two(world)
    world.text("A2", at="2027-03-28T10:00")
    hold_area(world, date(2027, 3, 28), date(2027, 3, 29))

    world.tick("2027-03-28T11:00")

    assert messages(world, "rain_hold") == []


def test_corrections_do_not_count_among_the_texts_of_a_dose(world: World) -> None:
    told_of_dose_two(world)
    hold_area(world, date(2027, 3, 28), date(2027, 3, 29))
    for clock in ("2027-03-27T19:00", "2027-03-29T18:00", "2027-03-31T18:00"):
        world.tick(clock)

    assert [row.kind for row in messages(world) if row.evening is not None][-4:] == [
        "dose_rain",
        "rain_hold",
        "moved_rain",
        "repeat_rain",
    ]
    assert world.now.astimezone(ZONE).hour == 18
