"""A home that collects on fills an empty can at the pace of its people, one can after another."""

from datetime import date

from service.confirmations.doses import confirm_done
from service.demo.refills import full_again
from service.planning.board_now import board_now
from service.planning.cans import stores_now
from tests.world import World, enrol
from tests.world_facts import by_call


def emptied(world: World, *, can_litres: float) -> None:
    """Let the first dose, 21 L on 15 March, be poured from a can that holds no more than that."""
    enrolled = enrol(world, can_litres=can_litres)
    world.tick("2027-03-14T18:00")
    world.now = world.now.replace(day=15)
    by_call(world, lambda desk: confirm_done(desk, enrolled.planting_id, 1, on=date(2027, 3, 15)))


def full_on(world: World, today: date) -> tuple[int, ...]:
    with world.services.sessions.read() as session:
        board = board_now(session, 1, now=world.clock())
        (store,) = stores_now(session, 1, today=today).values()
        return full_again(store, board.plantings, today)


def test_a_can_of_20_litres_is_full_after_eight_days_of_two_adults_and_a_child(
    world: World,
) -> None:
    emptied(world, can_litres=20)

    days = [date(2027, 3, day) for day in range(16, 28)]

    # 20 L at 2.5 L a day; a can that nobody noted is told of for three days
    assert [day for day in days if full_on(world, day) == (1,)] == [
        date(2027, 3, 23),
        date(2027, 3, 24),
        date(2027, 3, 25),
    ]


def test_a_can_with_a_dose_left_in_it_is_not_filled_again(world: World) -> None:
    emptied(world, can_litres=30)

    assert full_on(world, date(2027, 3, 27)) == ()
