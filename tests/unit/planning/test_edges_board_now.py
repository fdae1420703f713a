"""The association brought up to the day: whose doses are written anew, and what the board holds."""

from datetime import date, datetime

import pytest

from service.planning.board import Board
from service.planning.board_now import Ground, board_now, roll
from service.records.fields import DoseRow, DoseState, PlantingRow
from tests.world import OTHER_PHONE, ZONE, Enrolled, World, enrol
from tests.world_facts import another_plot
from tests.world_looks import dose

NOON = datetime(2027, 3, 16, 12, 0, tzinfo=ZONE)


def rolled(world: World) -> Ground:
    with world.services.sessions.begin() as session:
        ground = roll(session, 1, now=world.clock())
        session.expunge_all()
        return ground


def looked(world: World) -> Board:
    with world.services.sessions.begin() as session:
        board = board_now(session, 1, now=world.clock())
        session.expunge_all()
        return board


def shortened(world: World, enrolled: Enrolled) -> None:
    """Let the second dose be stored with other litres than the plan gives it."""
    with world.services.sessions.begin() as session:
        row = session.query(DoseRow).filter_by(planting_id=enrolled.planting_id, number=2).one()
        row.urine_l = 1.0


def litres(ground: Ground, enrolled: Enrolled) -> list[float]:
    """Return the litres of the second dose on each plot of a household, as the ground has it."""
    return [planned.bundle.doses[1].urine_l for planned in ground.growing[enrolled.household_id]]


def test_one_plot_that_is_stale_is_enough_to_write_its_household_anew(world: World) -> None:
    enrolled = enrol(world)
    second = another_plot(world, enrolled, letter="D")
    world.tick("2027-02-20T09:00")
    shortened(world, second)

    ground = rolled(world)

    assert dose(world, second, 2).urine_l == 21.5
    assert litres(ground, enrolled) == [21.5, 21.5]


def test_what_was_not_stale_stays_on_the_ground_beside_what_was(world: World) -> None:
    first = enrol(world)
    second = enrol(world, code="H02", number=OTHER_PHONE)
    world.tick("2027-02-20T09:00")
    shortened(world, second)

    ground = rolled(world)

    homes = [first.household_id, second.household_id]
    assert [*ground.growing] == [*ground.cans] == [*ground.stock] == homes
    assert [litres(ground, enrolled) for enrolled in (first, second)] == [[21.5], [21.5]]


def test_ground_that_is_not_stale_is_not_written(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-02-20T09:00")

    ground = rolled(world)

    assert litres(ground, enrolled) == [21.5]
    assert dose(world, enrolled, 2).revision == 1


def test_a_window_that_closed_is_closed_before_the_board_is_looked_at(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.now = datetime(2027, 3, 22, 6, 0, tzinfo=ZONE)

    ground = rolled(world)

    (planned,) = ground.growing[enrolled.household_id]
    assert planned.bundle.doses[0].state is DoseState.NOT_KNOWN


@pytest.mark.parametrize(
    ("body", "waiting", "paused"),
    [
        pytest.param("A1 but only half of it", "A", False, id="names a plot"),
        pytest.param("please stop A1 my brother is ill", "A", True, id="may be a refusal"),
    ],
)
def test_a_text_that_waits_to_be_read_holds_its_plots_and_may_hold_the_phone(
    world: World, body: str, waiting: str, *, paused: bool
) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text(body, at="2027-03-15T12:00")

    board = looked(world)

    assert board.waiting == {enrolled.phone_id: waiting}
    assert board.paused == (frozenset({enrolled.phone_id}) if paused else frozenset())


@pytest.mark.parametrize(("day", "kept"), [(9, False), (10, True), (16, True)])
def test_a_planting_that_ended_is_on_the_board_for_a_week(
    world: World, day: int, *, kept: bool
) -> None:
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(PlantingRow, enrolled.planting_id).closed_on = date(2027, 3, day)
    world.now = NOON

    ended = looked(world).ended

    assert [bundle.planting.id for bundle in ended] == ([enrolled.planting_id] if kept else [])
