"""The invented growers tell of what they do in every way that the service must bear."""

from dataclasses import replace
from datetime import date

import pytest

from service.demo.behaviour import Behaviour, Growers
from service.demo.growers import texts_of
from service.demo.homes import homes_on
from service.planning.board_now import board_now
from tests.world import World, enrol

PLAIN = Behaviour()


def told(world: World, behaviour: Behaviour, *days: date) -> dict[date, list[str]]:
    """Return what the one home texts at noon of these days, by what it was told until now."""
    growers = Growers(seed=1, households={"H01": behaviour})
    with world.services.sessions.read() as session:
        board = board_now(session, 1, now=world.clock())
        (home,) = homes_on(session, 1, growers, board=board)
        return {day: [text.text for text in texts_of(home, day)] for day in days}


@pytest.mark.parametrize(
    ("behaviour", "texts"),
    [
        pytest.param(PLAIN, [["A SOWN", "A1"], [], []], id="on the day"),
        pytest.param(
            replace(PLAIN, tells_again="same-day"), [["A SOWN", "A1"], ["A1 1"], []], id="twice"
        ),
        pytest.param(
            replace(PLAIN, tells_again="next-day"),
            [["A SOWN", "A1"], ["A1"], []],
            id="for another day",
        ),
        pytest.param(
            replace(PLAIN, pours_after_days=2), [["A SOWN"], [], ["A1"]], id="poured two days late"
        ),
        pytest.param(
            replace(PLAIN, burns_on=(date(2027, 3, 16),)),
            [["A SOWN", "A1"], ["A BURN"], []],
            id="burnt leaves",
        ),
        pytest.param(
            replace(PLAIN, comes_up="once-resown"), [["A SOWN", "A1"], [], []], id="never"
        ),
    ],
)
def test_a_dose_told_for_the_fifteenth(
    world: World, behaviour: Behaviour, texts: list[list[str]]
) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")

    found = told(world, behaviour, *(date(2027, 3, day) for day in (15, 16, 17)))

    assert list(found.values()) == texts


def test_one_who_knows_the_day_pours_on_the_day_before(world: World) -> None:
    enrol(world)
    world.text("A1", at="2027-03-15T12:00")
    world.text("A UP", at="2027-03-21T12:00")

    found = told(world, replace(PLAIN, answers="early"), date(2027, 3, 26), date(2027, 3, 27))

    assert found == {date(2027, 3, 26): [], date(2027, 3, 27): ["A2"]}  # due on the 28th


def test_seed_that_does_not_come_up_is_never_told_to_be_up(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")

    dead = told(world, replace(PLAIN, comes_up="once-resown"), date(2027, 3, 21))
    alive = told(world, PLAIN, date(2027, 3, 21))

    assert (dead, alive) == ({date(2027, 3, 21): []}, {date(2027, 3, 21): ["A UP"]})


def test_what_the_rain_took_back_is_not_poured(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A RAIN", at="2027-03-15T06:40")

    assert told(world, PLAIN, date(2027, 3, 15)) == {date(2027, 3, 15): ["A SOWN"]}
