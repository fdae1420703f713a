"""The demo's coordinator acts as the pages do, and is refused as they refuse."""

from datetime import date, datetime
from types import MappingProxyType

import pytest

from service.confirmations.outcomes import Desk
from service.demo.acts import Act, ActKind
from service.demo.staff_acts import do_act
from service.errors import RefusedError
from service.records.fields import FactKind, PlotRow
from tests.world import ZONE, World, dose_days, doses, enrol
from tests.world_facts import by_call
from tests.world_looks import dose, facts, rows

FIRST_DOSE, ITS_DAY = 1, date(2027, 3, 15)


def act(kind: ActKind, **values: object) -> Act:
    return Act(place=3, on=ITS_DAY, kind=kind, values=MappingProxyType(values))


def done(world: World, what: Act) -> None:
    def report(desk: Desk) -> None:
        do_act(desk, what)

    by_call(world, report)


def planted(world: World) -> dict[str, object]:
    enrol(world)
    world.tick()
    return {"household": "H01", "plot": "P1"}


def test_a_hold_moves_the_dose_to_the_day_after_it(world: World) -> None:
    enrolled = enrol(world)
    world.tick()

    done(world, act(ActKind.HOLD, area="all", first_on=ITS_DAY, last_on=date(2027, 3, 16)))

    assert dose_days(world, enrolled)[FIRST_DOSE] == date(2027, 3, 17)


def test_a_hold_that_is_taken_back_gives_the_day_back(world: World) -> None:
    enrolled = enrol(world)
    world.tick()
    days = {"area": "N", "first_on": ITS_DAY, "last_on": date(2027, 3, 16)}
    done(world, act(ActKind.HOLD, **days))

    done(world, act(ActKind.HOLD_WITHDRAWN, **days))

    assert dose_days(world, enrolled)[FIRST_DOSE] == ITS_DAY


def test_a_dry_spell_brings_water(world: World) -> None:
    enrolled = enrol(world)
    world.tick()
    span = {"first_on": date(2027, 3, 1), "last_on": date(2027, 6, 30)}

    done(world, act(ActKind.SEASON, area="N", season="dry", **span))

    first = dose(world, enrolled, FIRST_DOSE)
    assert (first.urine_l, first.water_l) == (21.0, 42.0)


def test_a_short_season_drops_the_last_doses(world: World) -> None:
    enrolled = enrol(world)
    world.tick()
    figure = {"crop": "maize-grain", "key": "season-days", "value": "80", "source": "seed bag"}

    done(world, act(ActKind.FIGURE, area="all", **figure))

    assert [row.number for row in doses(world, enrolled) if row.reason == "after-cutoff"] == [7]


def test_an_area_is_corrected_with_how_it_was_measured(world: World) -> None:
    place = planted(world)

    done(world, act(ActKind.AREA, **place, area_m2=60.0, measured="10 x 6 m"))

    (plot,) = rows(world, PlotRow)
    assert (plot.area_m2, plot.measured) == (60.0, "10 x 6 m")


def test_a_risky_site_waits_until_somebody_has_decided(world: World) -> None:
    enrolled = enrol(world)
    world.tick()
    place = {"household": "H01", "plot": "P1"}

    done(world, act(ActKind.SITE_TOLD, **place, hazard="steep"))
    waiting = dose(world, enrolled, FIRST_DOSE).state.value
    done(world, act(ActKind.SITE_DECIDED, **place, why="Terraced last year."))

    assert (waiting, dose(world, enrolled, FIRST_DOSE).state.value) == ("dropped", "planned")


@pytest.mark.parametrize(
    ("kind", "values", "fact"),
    [
        pytest.param(ActKind.PUT_OFF, {"day": date(2027, 4, 2)}, FactKind.PUT_OFF, id="put off"),
        pytest.param(ActKind.RESOWN, {"day": date(2027, 3, 20)}, FactKind.RESOWN, id="sown again"),
        pytest.param(ActKind.FAILED, {"day": date(2027, 3, 20)}, FactKind.FAILED, id="failed"),
        pytest.param(
            ActKind.ELSEWHERE,
            {"number": 1, "day": ITS_DAY, "litres": 4.0},
            FactKind.ELSEWHERE,
            id="given elsewhere",
        ),
    ],
)
def test_news_of_a_crop_becomes_a_fact(
    world: World, kind: ActKind, values: dict[str, object], fact: FactKind
) -> None:
    enrolled = enrol(world)
    world.tick()
    world.now = datetime(2027, 3, 21, 9, 0, tzinfo=ZONE)

    done(world, act(kind, household="H01", plot="P1", **values))

    assert [row.kind for row in facts(world, enrolled, fact)] == [fact]


def test_doses_go_on_after_burnt_leaves(world: World) -> None:
    enrolled = enrol(world)
    world.text("A BURN", at="2027-03-16T12:00")

    done(world, act(ActKind.GO_ON, household="H01", plot="P1"))

    assert [row.kind for row in facts(world, enrolled, FactKind.GO_ON)] == [FactKind.GO_ON]


def test_a_leaking_can_gives_nothing_more(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T12:00")

    done(world, act(ActKind.LEAKING, household="H01", can=1))

    first = dose(world, enrolled, FIRST_DOSE)
    assert (first.urine_l, first.short_l) == (0.0, 21.0)


@pytest.mark.parametrize(
    ("what", "why"),
    [
        pytest.param(
            act(ActKind.FAILED, household="H09", plot="P1", day=ITS_DAY),
            "nothing grows on such a plot",
            id="no such plot",
        ),
        pytest.param(
            act(ActKind.FAILED, household="H01", plot="P1", day=date(2027, 12, 1)),
            "future",
            id="a day to come",
        ),
        pytest.param(
            act(ActKind.HOLD, area="X", first_on=ITS_DAY, last_on=ITS_DAY),
            "there is no such area",
            id="no such area",
        ),
        pytest.param(
            act(ActKind.HOLD, area="N", first_on=ITS_DAY, last_on=date(2027, 3, 1)),
            "last_on: last-before-first",
            id="a hold that ends before it begins",
        ),
        pytest.param(
            act(ActKind.HOLD_WITHDRAWN, area="N", first_on=ITS_DAY, last_on=ITS_DAY),
            "no such hold stands",
            id="no such hold",
        ),
        pytest.param(
            act(ActKind.LEAKING, household="H01", can=9),
            "the household has no such can",
            id="no such can",
        ),
    ],
)
def test_what_a_page_would_refuse_stops_the_demo_with_its_row(
    world: World, what: Act, why: str
) -> None:
    planted(world)

    with pytest.raises(RefusedError, match=r"season\.toml, act 3") as refused:
        done(world, what)

    assert why in refused.value.sentence
