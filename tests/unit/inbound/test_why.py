"""WHY is answered with what set the day of the next dose."""

from datetime import date

import pytest

from service.confirmations.crop_news import confirm_burnt
from service.confirmations.doses import confirm_done
from tests.world import World, enrol
from tests.world_facts import by_call
from tests.world_looks import messages


def asked(world: World, at: str) -> tuple[str, object]:
    """Return the kind of the answer to WHY and the day that it counts from."""
    world.text("why A", at=at)
    row = messages(world, "r_why")[-1]
    values = row.fields["values"]
    return row.kind, values.get("since")


@pytest.mark.parametrize(
    ("at", "answer"),
    [
        pytest.param("2027-03-15T12:00", ("r_why_planting", "2027-03-15"), id="dose 1"),
        pytest.param("2027-03-23T12:00", ("r_why_assumed", "2027-03-21"), id="emergence assumed"),
    ],
)
def test_an_unmoved_day_counts_from_planting_or_emergence(
    world: World, at: str, answer: tuple[str, object]
) -> None:
    enrol(world)
    world.tick(at.replace("12:00", "08:00"))

    assert asked(world, at) == answer


def test_after_the_plants_were_told_up_the_day_counts_from_then(world: World) -> None:
    enrol(world)
    world.text("A UP", at="2027-03-22T10:00")

    assert asked(world, "2027-03-23T12:00") == ("r_why_up", "2027-03-22")


def test_a_transplanted_crop_counts_from_planting_out(world: World) -> None:
    enrol(world, crop="tomato")
    world.tick("2027-03-23T08:00")

    assert asked(world, "2027-03-23T12:00") == ("r_why_planting", "2027-03-15")


def test_a_day_moved_by_rain_names_the_day_it_had(world: World) -> None:
    enrol(world)
    world.text("A UP", at="2027-03-21T10:00")
    world.text("A RAIN", at="2027-03-28T10:00")

    assert asked(world, "2027-03-28T12:00") == ("r_why_rain", "2027-03-28")


def test_a_day_moved_for_burnt_leaves_says_so(world: World) -> None:
    enrolled = enrol(world)
    world.text("A UP", at="2027-03-21T10:00")
    world.tick("2027-04-18T08:00")
    by_call(world, lambda desk: confirm_done(desk, enrolled.planting_id, 5, on=date(2027, 4, 18)))
    world.tick("2027-04-30T08:00")
    by_call(world, lambda desk: confirm_burnt(desk, enrolled.planting_id))

    assert asked(world, "2027-04-30T12:00") == ("r_why_burn", "2027-04-30")


def test_a_day_moved_by_a_late_dose_names_that_dose(world: World) -> None:
    """Dose 3 was due on 4 April; given on the 9th, dose 4 of the 11th waits five days."""
    enrolled = enrol(world)
    world.text("A UP", at="2027-03-21T10:00")
    world.tick("2027-04-09T08:00")
    by_call(world, lambda desk: confirm_done(desk, enrolled.planting_id, 3, on=date(2027, 4, 9)))

    assert asked(world, "2027-04-09T12:00") == ("r_why_gap", "2027-04-09")


def test_a_dose_that_waits_for_a_can_names_its_day(world: World) -> None:
    """Sealed on 16 February, rested 30 days: ready on 18 March."""
    enrol(world, sealed_on=date(2027, 2, 16))
    world.tick("2027-03-14T18:00")

    assert asked(world, "2027-03-15T12:00") == ("r_why_stock", "2027-03-18")
