"""What the planner did is counted once, by what was new, and survives a restart."""

from dataclasses import replace
from datetime import date
from types import MappingProxyType

from service.confirmations.outcomes import Desk
from service.demo.acts import Act, ActKind
from service.demo.plan_log import Moment, PlanLog, stale_plans, tallies
from service.demo.staff_acts import do_act
from service.planning.board_now import board_now
from service.records.fields import DoseRow, Source
from tests.world import World, enrol

TENANT = 1
ACT = Act(
    place=2,
    on=date(2027, 3, 25),
    kind=ActKind.HOLD,
    values=MappingProxyType({}),
)


def looked(world: World, log: PlanLog | None = None) -> PlanLog:
    """Look at the plans as they stand now, with the log of before or one read anew."""
    now = world.clock()
    with world.services.sessions.begin() as session:
        log = log or PlanLog(session, TENANT)
        board = board_now(session, TENANT, now=now)
        log.look_once(Moment(session=session, association_id=TENANT, now=now), board)
    return log


def counted(world: World) -> dict[str, list[int]]:
    with world.services.sessions.read() as session:
        return tallies(session, TENANT)


def test_the_doses_that_emergence_moves_are_counted_for_it(world: World) -> None:
    enrol(world)
    world.tick("2027-03-20T06:30")
    log = looked(world)

    world.text("A UP", at="2027-03-24T12:00")
    looked(world, log)

    # assumed up on 21 March, in truth on the 24th: the six doses after planting move, none else
    assert counted(world)["plants up"] == [1, 6, 0, 0, 0]


def test_a_look_at_the_same_moment_counts_nothing_more(world: World) -> None:
    enrol(world)
    world.tick("2027-03-20T06:30")
    log = looked(world)
    world.text("A UP", at="2027-03-24T12:00")
    looked(world, log)

    looked(world, log)
    looked(world)

    assert counted(world)["plants up"] == [1, 6, 0, 0, 0]


def test_a_restart_goes_on_counting_from_the_last_look(world: World) -> None:
    enrol(world)
    world.tick("2027-03-20T06:30")
    looked(world)

    world.text("A UP", at="2027-03-24T12:00")
    looked(world)

    assert counted(world)["plants up"] == [1, 6, 0, 0, 0]


def test_reports_are_told_apart_by_their_day(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    log = looked(world)

    world.text("A1 1", at="2027-03-16T12:00")
    looked(world, log)

    assert counted(world) == {"dose reported days later": [1, 0, 0, 0, 0]}


def test_an_act_is_done_once_also_after_a_restart(world: World) -> None:
    enrol(world)
    world.tick("2027-03-20T06:30")
    log = looked(world)

    with world.services.sessions.begin() as session:
        board = board_now(session, TENANT, now=world.clock())
        moment = Moment(session=session, association_id=TENANT, now=world.clock())
        log.look_after(ACT, moment, board, board)
    with world.services.sessions.read() as session:
        again = PlanLog(session, TENANT)

    assert (log.has_done(ACT), again.has_done(ACT)) == (True, True)
    assert counted(world)["hold"] == [1, 0, 0, 0, 0]


def test_a_plan_that_is_not_what_its_facts_make_it_is_named(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-01T06:30")
    looked(world)
    with world.services.sessions.begin() as session:
        session.query(DoseRow).filter_by(number=5).update({"due_on": date(2027, 4, 30)})

    world.now = world.now.replace(hour=9)
    looked(world)

    with world.services.sessions.read() as session:
        found = stale_plans(session, TENANT)
    assert found == [(world.clock(), enrolled.planting_id)]


def test_an_act_counts_the_doses_that_the_cans_give_less(world: World) -> None:
    """A leaking can changes no plan, only what is poured: all seven doses came from it."""
    enrol(world)
    world.tick("2027-03-01T06:30")
    log = looked(world)

    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=TENANT,
            source=Source.FORM,
            today=date(2027, 3, 1),
            now=world.clock(),
        )
        before = board_now(session, TENANT, now=world.clock())
        do_act(desk, replace(ACT, kind=ActKind.LEAKING, values={"household": "H01", "can": 1}))
        after = board_now(session, TENANT, now=world.clock())
        moment = Moment(session=session, association_id=TENANT, now=world.clock())
        log.look_after(replace(ACT, kind=ActKind.LEAKING), moment, before, after)

    assert counted(world)["can-leaking"] == [1, 0, 0, 0, 7]
