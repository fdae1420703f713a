"""When a planting's stored doses have to be written anew, and what is written then.

On 26 March dose 2 is near, so that it has what the cans hold; dose 3 is not, and has its share.
"""

from datetime import date

import pytest

from service.agronomy.allotment import Allotment
from service.agronomy.cutoff import CutoffRule
from service.agronomy.dose_days import DropReason
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan
from service.planning.allotting import HouseholdStock, Planned
from service.planning.refresh import is_stale, refresh_household
from service.records.fields import (
    DoseRow,
    DoseState,
    FactKind,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.locality_book import LocalityBook
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle
from tests.world import Enrolled, World, enrol
from tests.world_looks import dose, facts

TODAY = date(2027, 3, 26)
DUE = {1: date(2027, 3, 15), 2: date(2027, 3, 28), 3: date(2027, 4, 4)}
CLOSES = {1: date(2027, 3, 21), 2: date(2027, 4, 3), 3: date(2027, 4, 10)}
DROPPED_ON = {4: date(2027, 4, 11), 5: date(2027, 4, 18)}
GETS = {2: (10.0, 10.0), 3: (20.0, 0.0)}  # litres, and litres that are lacking


def stored(**news: dict[str, object]) -> list[DoseRow]:
    """Return the doses as they are stored; `d2` is what is otherwise with dose 2."""
    parts: dict[int, dict[str, object]] = {
        number: {
            "due_on": DUE[number],
            "closes_on": CLOSES[number],
            "urine_l": 20.0,
            "short_l": 0.0,
            "state": DoseState.PLANNED,
            "told": False,
        }
        for number in DUE
    }
    parts[1]["state"] = DoseState.DONE
    parts[2] |= {"urine_l": 10.0, "short_l": 10.0}
    for number in (*DROPPED_ON, 6):  # the sixth is in no pattern any more
        on = DROPPED_ON.get(number, date(2027, 5, 2))
        parts[number] = {"due_on": on, "closes_on": on, "state": DoseState.DROPPED, "told": False}
    for name, changed in news.items():
        parts[int(name[1:])] |= changed
    return [DoseRow(number=number, **part) for number, part in parts.items()]


def stale(
    rows: list[DoseRow],
    *,
    today: date = TODAY,
    gets: dict[int, tuple[float, float]] | None = None,
) -> bool:
    planned = tuple(
        PlannedDose(
            number=number,
            due_on=DUE[number],
            litres=20,
            water_litres=0,
            closes_on=CLOSES[number],
            given_on=None,
            usual_on=DUE[number],
        )
        for number in DUE
    )
    plan = SeasonPlan(
        doses=planned,
        dropped=tuple(
            DroppedDose(number=number, due_on=on, reason=DropReason.HOLD)
            for number, on in DROPPED_ON.items()
        ),
        cutoff_on=date(2027, 6, 1),
        cutoff_rule=CutoffRule.ONE_MONTH,
        emergence_on=date(2027, 3, 21),
        emergence_assumed=False,
        first_harvest_on=date(2027, 7, 1),
        season_days=120,
        target_litres=60,
        shortfall_litres=0,
        warnings=(),
    )
    bundle = PlantingBundle(
        planting=PlantingRow(id=9),
        plot=PlotRow(),
        household=HouseholdRow(id=6),
        facts=(),
        holds=(),
        doses=tuple(rows),
        book=LocalityBook(holds=(), spans=(), values=(), store_c={}),
    )
    stock = HouseholdStock(
        asks=(),
        stocks=(),
        allotted={
            (9, number): Allotment(litres=litres, short_litres=short, draws=())
            for number, (litres, short) in (GETS if gets is None else gets).items()
        },
    )
    return is_stale(Planned(bundle=bundle, plan=plan), stock, today=today)


def without(number: int) -> list[DoseRow]:
    return [row for row in stored() if row.number != number]


def test_doses_stored_as_planned_stay() -> None:
    assert not stale(stored())


@pytest.mark.parametrize(("today", "over"), [(CLOSES[2], False), (date(2027, 4, 4), True)])
def test_a_window_that_has_closed_without_an_answer_is_news(today: date, *, over: bool) -> None:
    assert stale(stored(), today=today) is over


@pytest.mark.parametrize("state", [DoseState.PLANNED, DoseState.NOT_KNOWN])
def test_only_a_dose_still_to_come_has_to_leave_with_its_pattern(state: DoseState) -> None:
    assert stale(stored(d6={"state": state})) is (state is DoseState.PLANNED)


@pytest.mark.parametrize("number", [2, 3, 5])
def test_a_dose_that_is_not_stored_yet_is_news(number: int) -> None:
    assert stale(without(number))


@pytest.mark.parametrize("number", [4, 5])
def test_a_dose_that_a_rule_takes_out_is_news(number: int) -> None:
    news: dict[str, dict[str, object]] = {f"d{number}": {"state": DoseState.PLANNED}}

    assert stale(stored(**news))


@pytest.mark.parametrize(
    "moved", [{"due_on": date(2027, 4, 5)}, {"closes_on": date(2027, 4, 9)}], ids=["day", "window"]
)
def test_a_dose_stored_for_other_days_is_news(moved: dict[str, object]) -> None:
    assert stale(stored(d3=moved))


def test_a_dose_that_comes_back_is_news() -> None:
    assert stale(stored(d3={"state": DoseState.DROPPED}))


@pytest.mark.parametrize(
    ("dose", "changed"),
    [
        pytest.param({"urine_l": 10.5}, True, id="near, other litres"),
        pytest.param({"short_l": 9.5}, True, id="near, another lack"),
        pytest.param({"urine_l": 5.0, "told": True}, False, id="told: it keeps its litres"),
        pytest.param({"urine_l": 5.0, "state": DoseState.DONE}, False, id="given"),
        pytest.param({"urine_l": 5.0, "state": DoseState.NOT_KNOWN}, False, id="not known"),
    ],
)
def test_a_near_dose_is_stored_with_what_the_cans_give_it(
    dose: dict[str, object], *, changed: bool
) -> None:
    assert stale(stored(d2=dose)) is changed


@pytest.mark.parametrize(("litres", "changed"), [(20.0, False), (10.0, True)])
def test_a_near_dose_that_asks_the_cans_for_nothing_is_stored_with_its_share(
    litres: float, *, changed: bool
) -> None:
    assert stale(stored(d2={"urine_l": litres, "short_l": 0.0}), gets={}) is changed


@pytest.mark.parametrize(("today", "near"), [(date(2027, 4, 1), False), (date(2027, 4, 2), True)])
def test_a_dose_is_near_two_days_before_its_day(today: date, *, near: bool) -> None:
    """Two days, a project choice: no text is planned earlier than that."""
    assert stale(stored(), today=today, gets=GETS | {3: (5.0, 15.0)}) is near


def test_a_share_that_changed_is_news_though_the_day_is_far_off() -> None:
    assert stale(stored(d3={"urine_l": 19.5}))


def refreshed(world: World, enrolled: Enrolled, today: date, *news: object) -> None:
    with world.services.sessions.begin() as session:
        session.add_all(news)
        refresh_household(session, 1, enrolled.household_id, today=today, now=world.clock())


def a_fact(  # noqa: PLR0913 -- a factory: every part has its usual value
    world: World,
    enrolled: Enrolled,
    kind: FactKind,
    on: date,
    *,
    number: int | None = None,
    litres: float | None = None,
) -> PlantingFactRow:
    return PlantingFactRow(
        association_id=1,
        planting_id=enrolled.planting_id,
        kind=kind,
        dose_number=number,
        on=on,
        litres=litres,
        source=Source.CALL,
        recorded_at=world.clock(),
    )


def rain(world: World, enrolled: Enrolled, first_on: date, last_on: date) -> HoldRow:
    return HoldRow(
        association_id=1,
        planting_id=enrolled.planting_id,
        first_on=first_on,
        last_on=last_on,
        source=Source.CALL,
        recorded_at=world.clock(),
    )


def test_a_dose_that_lacked_something_lacks_nothing_once_it_is_dropped(world: World) -> None:
    enrolled = enrol(world, can_litres=10)
    refreshed(world, enrolled, date(2027, 3, 13))
    assert dose(world, enrolled, 1).short_l == 11

    refreshed(world, enrolled, date(2027, 3, 13), rain(world, enrolled, date(2027, 3, 13), DUE[2]))

    first = dose(world, enrolled, 1)
    assert (first.state, first.short_l) == (DoseState.DROPPED, 0)


def test_a_dose_dropped_from_the_first_is_kept_with_nothing_in_it(world: World) -> None:
    enrolled = enrol(world)

    refreshed(world, enrolled, date(2027, 3, 1), rain(world, enrolled, date(2027, 3, 13), DUE[2]))

    first = dose(world, enrolled, 1)
    assert (first.state, first.reason, first.due_on) == (DoseState.DROPPED, "hold", DUE[1])
    assert (first.urine_l, first.water_l, first.short_l) == (0, 0, 0)
    assert (first.revision, first.told) == (1, False)


def test_a_dose_that_nothing_is_left_for_is_written_with_nothing_in_it(world: World) -> None:
    """150 L for the season, and 200 L poured before the plan knew of it."""
    enrolled = enrol(world)
    poured = a_fact(world, enrolled, FactKind.ELSEWHERE, date(2027, 3, 10), number=1, litres=200)

    refreshed(world, enrolled, date(2027, 3, 16), poured)

    second = dose(world, enrolled, 2)
    assert (second.state, second.urine_l, second.short_l) == (DoseState.PLANNED, 0, 0)
    assert second.revision == 1


def test_a_dose_not_known_of_comes_back_up_to_the_last_day_of_its_new_window(
    world: World,
) -> None:
    """Up on 5 April: dose 2 is due a week later and open for six days more, to the 18th."""
    enrolled = enrol(world)
    refreshed(world, enrolled, date(2027, 4, 4))
    assert dose(world, enrolled, 2).state is DoseState.NOT_KNOWN

    up = a_fact(world, enrolled, FactKind.EMERGED, date(2027, 4, 5))
    refreshed(world, enrolled, date(2027, 4, 18), up)

    back = dose(world, enrolled, 2)
    assert (back.due_on, back.closes_on) == (date(2027, 4, 12), date(2027, 4, 18))
    assert back.state is DoseState.PLANNED


def test_a_dose_not_known_of_stays_so_where_no_litres_are_left_for_it(world: World) -> None:
    enrolled = enrol(world)
    refreshed(world, enrolled, date(2027, 4, 4))

    refreshed(
        world,
        enrolled,
        date(2027, 4, 19),
        a_fact(world, enrolled, FactKind.EMERGED, date(2027, 4, 5)),
        a_fact(world, enrolled, FactKind.ELSEWHERE, DUE[1], number=1, litres=200),
    )

    second = dose(world, enrolled, 2)
    assert (second.state, second.urine_l) == (DoseState.NOT_KNOWN, 0)
    assert [
        fact for fact in facts(world, enrolled, FactKind.NOT_READY) if fact.dose_number == 2
    ] == []


def test_half_a_litre_that_nobody_spoke_of_may_have_been_poured(world: World) -> None:
    """2 m² at 1.5 L/m²: 3 L over seven doses, rounded down to tenths."""
    enrolled = enrol(world, area_m2=2)
    refreshed(world, enrolled, date(2027, 3, 13))
    assert dose(world, enrolled, 1).urine_l == 0.4

    refreshed(world, enrolled, date(2027, 3, 22))

    assert dose(world, enrolled, 1).state is DoseState.NOT_KNOWN
