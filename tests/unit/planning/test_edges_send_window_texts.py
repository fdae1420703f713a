"""How long a grower's texts are remembered, to the second on either side.

Ten minutes, an hour, a day, a week and 30 days are project choices.
"""

from datetime import timedelta

import pytest

from service.records.people import PhoneRow
from service.records.traffic import InboundRow
from tests.world import OTHER_PHONE, PHONE, World, enrol
from tests.world_looks import messages, rows


def muted(world: World) -> bool:
    return any(row.muted_until is not None for row in rows(world, PhoneRow))


def answers(world: World) -> int:
    return len([row for row in messages(world) if row.evening is None and row.number == PHONE])


@pytest.mark.parametrize(("at", "loops"), [("12:09:59", True), ("12:10:01", False)])
def test_six_texts_are_too_many_for_ten_minutes(world: World, at: str, *, loops: bool) -> None:
    enrol(world)
    for second in range(5):
        world.text(f"why A {'!' * second}", at=f"2027-03-15T12:00:0{second}")

    world.text("help", at=f"2027-03-15T{at}")

    assert muted(world) is loops


@pytest.mark.parametrize(("at", "loops"), [("12:59:59", True), ("13:00:01", False)])
def test_three_equal_texts_are_too_many_for_an_hour(world: World, at: str, *, loops: bool) -> None:
    enrol(world)
    for minute in (0, 20):
        world.text("service message 77", at=f"2027-03-15T12:{minute:02}")

    world.text("service message 77", at=f"2027-03-15T{at}")

    assert muted(world) is loops


def test_a_phone_that_texts_like_a_machine_is_mute_for_a_day(world: World) -> None:
    enrol(world)
    for minute in (0, 20, 40):
        world.text("service message 77", at=f"2027-03-15T12:{minute:02}")

    (phone,) = rows(world, PhoneRow)

    assert phone.muted_until == world.clock() + timedelta(hours=24)


@pytest.mark.parametrize(("at", "count"), [("11:59:59", 1), ("12:00:01", 2)])
def test_help_is_given_once_in_a_day(world: World, at: str, count: int) -> None:
    enrol(world)
    world.text("help", at="2027-03-15T12:00")

    world.text("help", at=f"2027-03-16T{at}")

    assert answers(world) == count


@pytest.mark.parametrize(("at", "count"), [("11:59:59", 1), ("12:00:01", 2)])
def test_a_number_that_nobody_has_any_more_is_answered_once_in_thirty_days(
    world: World, at: str, count: int
) -> None:
    enrol(world)
    world.text("help", at="2027-03-15T12:00")
    with world.services.sessions.begin() as session:
        session.query(PhoneRow).one().number = OTHER_PHONE

    world.text("JOIN", at=f"2027-04-14T{at}")

    assert answers(world) == count


@pytest.mark.parametrize(("at", "count"), [("12:09:59", 1), ("12:10:01", 2)])
def test_the_same_question_within_ten_minutes_is_one_question(
    world: World, at: str, count: int
) -> None:
    enrol(world)
    world.text("why A", at="2027-03-15T12:00")

    world.text("why A", at=f"2027-03-15T{at}")

    assert answers(world) == count


@pytest.mark.parametrize(("at", "echo"), [("17:59:59", True), ("18:00:01", False)])
def test_a_text_of_ours_that_comes_back_is_known_for_a_week(
    world: World, at: str, *, echo: bool
) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")

    world.text(world.bodies()[-1], at=f"2027-03-21T{at}")

    (kept,) = rows(world, InboundRow)
    assert (kept.hint == "echo") is echo
