"""The season's summary says what changed, what the cans gave, and what was said once."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.demo.planner_told import planner_lines
from tests.world import World, enrol
from tests.world_facts import another_can, can_event


def lines(world: World) -> list[str]:
    """Return the section's lines with single blanks."""
    with world.services.sessions.read() as session:
        return [" ".join(line.split()) for line in planner_lines(session, 1)]


@pytest.fixture
def told(world: World) -> World:
    """A home with 30 L whose first dose, 21 L, is given, so that 9 L are left for the second."""
    enrol(world, can_litres=30)
    world.tick("2027-03-08T18:00")
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    return world


def test_what_was_given_stands_beside_what_was_ready(told: World) -> None:
    assert "given, of what was ready 21.0 L of 30.0 L" in lines(told)


def test_a_can_that_rests_beyond_the_last_dose_was_never_ready(told: World) -> None:
    """The last dose of maize sown on 15 March is due on 16 May, and open to the 22nd."""
    home = enrol(told, code="H02", number="+255100000002", can=2, sealed_on=None)
    another_can(told, home, number=3, sealed_on=date(2027, 4, 30))

    assert "given, of what was ready 21.0 L of 30.0 L" in lines(told)


def test_a_can_filled_again_counts_again(told: World) -> None:
    home = enrol(told, code="H02", number="+255100000002", can=2, can_litres=20)
    told.tick("2027-03-16T06:30")
    can_event(told, home, CanEventKind.SEALED, date(2027, 3, 20), number=2)

    assert "given, of what was ready 21.0 L of 70.0 L" in lines(told)


def test_a_dose_that_gets_less_is_counted_with_what_it_lacks(told: World) -> None:
    told.text("A UP", at="2027-03-21T12:00")
    told.tick("2027-03-26T18:00")

    # 9 L of 21.5 are left for the second dose; the later ones wait for their days
    assert "doses with less than planned 1 12.5 L short" in lines(told)


def test_each_kind_of_notice_is_counted(told: World) -> None:
    assert "short 1" in lines(told)  # 30 L for a season of 150
