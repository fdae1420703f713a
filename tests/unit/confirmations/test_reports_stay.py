"""A dose that was reported stays as it was told, whatever is learned later.

Maize on plot A, sown on 15 March: doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May; the
last day for a dose is 6 June.
"""

from collections.abc import Callable
from datetime import date

import pytest

from service.agronomy.season import Soil
from service.confirmations.crop_news import confirm_burnt, confirm_rain, confirm_up
from service.confirmations.crop_turns import confirm_resown
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.ground_news import correct_area, correct_soil, tell_site
from service.confirmations.outcomes import Desk
from service.records.fields import DoseState, FactKind
from service.records.site import Hazard
from tests.world import Enrolled, World, enrol
from tests.world_facts import by_call
from tests.world_looks import dose, facts

Later = Callable[[Desk, Enrolled], object]

LATER: dict[str, Later] = {
    "told again for another day": lambda desk, home: confirm_done(
        desk, home.planting_id, 3, on=desk.today
    ),
    "told as not done": lambda desk, home: confirm_not_done(desk, home.planting_id, 3),
    "plants up": lambda desk, home: confirm_up(desk, home.planting_id, on=date(2027, 3, 25)),
    "rain": lambda desk, home: confirm_rain(desk, home.planting_id),
    "burnt leaves": lambda desk, home: confirm_burnt(desk, home.planting_id),
    "sown again": lambda desk, home: confirm_resown(desk, home.planting_id, on=date(2027, 4, 6)),
    "half the area": lambda desk, home: correct_area(desk, home.plot_id, area_m2=50, measured=""),
    "salty soil": lambda desk, home: correct_soil(desk, home.plot_id, Soil.SALTY),
    "steep ground": lambda desk, home: tell_site(desk, home.plot_id, (Hazard.STEEP,)),
}


def report(world: World, home: Enrolled, number: int, on: date) -> None:
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, number, on=on))


def as_told(world: World, home: Enrolled, number: int) -> tuple[object, ...]:
    row = dose(world, home, number)
    told = [fact.on for fact in facts(world, home, FactKind.APPLIED) if fact.dose_number == number]
    return row.state, row.due_on, row.urine_l, told


@pytest.mark.parametrize("later", LATER)
@pytest.mark.parametrize(
    "on",
    [
        pytest.param(date(2027, 4, 3), id="a day early"),
        pytest.param(date(2027, 4, 4), id="on its day"),
        pytest.param(date(2027, 4, 7), id="three days late"),
        pytest.param(date(2027, 4, 12), id="after its days had passed"),
    ],
)
def test_a_dose_reported_on_any_day_stays_as_it_was(world: World, on: date, later: str) -> None:
    home = enrol(world)
    world.tick("2027-04-12T12:00")
    report(world, home, 3, on)
    before = as_told(world, home, 3)

    by_call(world, lambda desk: LATER[later](desk, home))
    world.tick("2027-04-13T12:00")

    assert before[:2] == (DoseState.DONE, on)
    assert as_told(world, home, 3) == before


@pytest.mark.parametrize("later", LATER)
def test_a_dose_reported_twice_stays_the_first_report(world: World, later: str) -> None:
    home = enrol(world)
    world.tick("2027-04-12T12:00")
    report(world, home, 3, date(2027, 4, 5))
    report(world, home, 3, date(2027, 4, 9))
    before = as_told(world, home, 3)

    by_call(world, lambda desk: LATER[later](desk, home))

    assert before[1] == date(2027, 4, 5)
    assert before[3] == [date(2027, 4, 5)]
    assert as_told(world, home, 3) == before


def test_a_dose_reported_after_the_last_day_stays_with_its_litres(world: World) -> None:
    home = enrol(world)
    world.tick("2027-06-10T12:00")
    report(world, home, 7, date(2027, 6, 8))
    before = as_told(world, home, 7)

    by_call(world, lambda desk: correct_area(desk, home.plot_id, area_m2=50, measured=""))
    world.tick("2027-06-12T12:00")

    assert before[:2] == (DoseState.DONE, date(2027, 6, 8))
    assert as_told(world, home, 7) == before
