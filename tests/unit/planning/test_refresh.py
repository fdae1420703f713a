"""A planting's doses follow its facts; a revision rises only for a dose that itself changes.

Maize for grain on 100 m² at 1.5 L/m²: 150 L over seven doses, the first on the day of sowing.
"""

from datetime import date, datetime

import pytest

from service.agronomy.containers import CanEventKind
from service.confirmations.calls import Answer, Said, settle_call
from service.planning.cans import cans_by_household
from service.planning.refresh import refresh_household
from service.planning.send_window import local_day
from service.records.can_events import add_can_event
from service.records.fields import (
    ContainerRow,
    DoseRow,
    DoseState,
    FactKind,
    HoldRow,
    PlantingFactRow,
    Source,
)
from service.records.holds import add_hold
from service.records.localities import AreaHoldRow, LocalValueRow
from service.records.traffic import TaskKind
from tests.world import ZONE, Enrolled, World, doses, enrol, tick_through
from tests.world_facts import by_call
from tests.world_looks import calls, dose, facts

DAYS = [
    date(2027, 3, 15),
    date(2027, 3, 28),
    date(2027, 4, 4),
    date(2027, 4, 11),
    date(2027, 4, 18),
    date(2027, 5, 2),
    date(2027, 5, 16),
]


def refresh(world: World, enrolled: Enrolled) -> None:
    today = local_day(world.clock(), ZONE)
    with world.services.sessions.begin() as session:
        refresh_household(session, 1, enrolled.household_id, today=today, now=world.clock())


def hold(world: World, enrolled: Enrolled, first_on: date, last_on: date) -> None:
    with world.services.sessions.begin() as session:
        add_hold(
            session,
            1,
            enrolled.planting_id,
            first_on=first_on,
            last_on=last_on,
            source=Source.CALL,
            now=world.clock(),
        )
    refresh(world, enrolled)


def plain(row: DoseRow) -> tuple[object, ...]:
    return (row.number, row.due_on, row.closes_on, row.urine_l, row.revision, row.state, row.reason)


def test_a_new_planting_gets_the_doses_of_its_pattern(world: World) -> None:
    """Day P, then E + 7, 14, 21, 28, 42, 56 with E assumed at P + 6: common practice, no source."""
    enrolled = enrol(world)

    world.tick("2027-02-20T09:00")

    rows = doses(world, enrolled)
    assert [row.due_on for row in rows] == DAYS
    assert {(row.revision, row.state, row.told) for row in rows} == {(1, DoseState.PLANNED, False)}
    assert sum(row.urine_l for row in rows) == 150


def test_planning_anew_from_the_same_facts_changes_nothing(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-02-20T09:00")
    before = [plain(row) for row in doses(world, enrolled)]

    refresh(world, enrolled)

    assert [plain(row) for row in doses(world, enrolled)] == before


def test_emergence_moves_what_is_to_come_and_raises_its_revisions(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    world.text("A UP", at="2027-03-25T12:00")

    rows = doses(world, enrolled)
    assert [row.due_on for row in rows[:3]] == [DAYS[0], date(2027, 4, 1), date(2027, 4, 8)]
    assert [row.revision for row in rows] == [1, 2, 2, 2, 2, 2, 2]
    assert rows[0].state is DoseState.DONE


def test_only_the_dose_that_a_hold_moves_gets_a_new_revision(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-02-20T09:00")

    hold(world, enrolled, date(2027, 5, 15), date(2027, 5, 17))

    rows = doses(world, enrolled)
    assert [row.revision for row in rows] == [1, 1, 1, 1, 1, 1, 2]
    assert rows[6].due_on == date(2027, 5, 18)


def test_a_dose_that_a_rule_drops_shares_its_litres_over_those_to_come(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-02-20T09:00")

    hold(world, enrolled, date(2027, 3, 28), date(2027, 4, 2))

    rows = doses(world, enrolled)
    live = [row for row in rows if row.state is not DoseState.DROPPED]
    assert (rows[1].state, rows[1].reason) == (DoseState.DROPPED, "hold")
    assert [row.due_on for row in live] == [DAYS[0], *DAYS[2:]]
    assert {row.revision for row in live} == {2}
    assert sum(row.urine_l for row in live) == 150


def test_litres_once_told_stay_when_others_are_shared_anew(world: World) -> None:
    """The season's plan: amounts once told keep their litres."""
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    before = dose(world, enrolled, 1)

    hold(world, enrolled, date(2027, 3, 28), date(2027, 4, 2))

    after = dose(world, enrolled, 1)
    assert (before.told, plain(after)) == (True, plain(before))
    assert dose(world, enrolled, 3).urine_l > 21.5


@pytest.mark.parametrize(
    ("at", "state"),
    [("2027-03-21T23:59", DoseState.PLANNED), ("2027-03-22T00:00", DoseState.NOT_KNOWN)],
    ids=["on the last day", "the day after"],
)
def test_silence_is_not_known_from_the_day_after_the_window(
    world: World, at: str, state: DoseState
) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")

    world.tick(at)

    row = dose(world, enrolled, 1)
    assert (row.closes_on, row.state) == (date(2027, 3, 21), state)


def test_a_dose_missed_by_the_grower_is_not_made_up(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    before = [plain(row) for row in doses(world, enrolled)][1:]

    world.text("A1 NO", at="2027-03-15T12:00")
    world.tick("2027-03-22T06:00")

    rows = doses(world, enrolled)
    assert rows[0].state is DoseState.NOT_DONE
    assert [plain(row) for row in rows][1:] == before


def test_a_dose_said_to_be_undone_may_still_be_done(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1 NO", at="2027-03-15T12:00")

    world.text("A1", at="2027-03-17T12:00")

    row = dose(world, enrolled, 1)
    assert (row.state, row.due_on) == (DoseState.DONE, date(2027, 3, 17))


def test_a_window_that_no_ready_container_could_serve_is_dropped_by_rule(world: World) -> None:
    """Sealed on 5 March, ready on 4 April, the day of dose 3: doses 1 and 2 find nothing."""
    enrolled = enrol(world, sealed_on=date(2027, 3, 5))

    world.tick("2027-04-11T06:00")

    rows = doses(world, enrolled)
    assert [(row.state, row.reason) for row in rows[:2]] == [(DoseState.DROPPED, "not-ready")] * 2
    assert rows[2].state is DoseState.NOT_KNOWN
    assert [row.state for row in rows[3:]] == [DoseState.PLANNED] * 4
    written = facts(world, enrolled, FactKind.NOT_READY)
    assert [(fact.dose_number, fact.source) for fact in written] == [
        (1, Source.SERVICE),
        (2, Source.SERVICE),
    ]
    assert [fact.on for fact in written] == [date(2027, 3, 21), date(2027, 4, 3)]


def test_what_was_not_ready_is_shared_over_the_rest_up_to_the_cap(world: World) -> None:
    """Cap: twice the season's total over the doses of the pattern, 300 / 7 = 42.8 L."""
    enrolled = enrol(world, sealed_on=date(2027, 3, 5))

    world.tick("2027-04-11T06:00")

    left = [row.urine_l for row in doses(world, enrolled)[2:]]
    assert sum(left) == 150
    assert max(left) <= 42.8


def test_news_of_dropped_doses_is_written_down_once(world: World) -> None:
    enrolled = enrol(world, sealed_on=date(2027, 3, 5))
    world.tick("2027-04-11T06:00")
    before = [plain(row) for row in doses(world, enrolled)]

    world.tick("2027-04-11T07:00")

    assert len(facts(world, enrolled, FactKind.NOT_READY)) == 2
    assert [plain(row) for row in doses(world, enrolled)] == before


def test_a_can_ready_only_when_nobody_can_be_told_any_more_serves_no_dose(world: World) -> None:
    """Sealed on 19 February, ready on 21 March: the last day of dose 1, after its last evening."""
    enrolled = enrol(world, sealed_on=date(2027, 2, 19))
    tick_through(world, date(2027, 3, 14), date(2027, 3, 22), hours=("18:00",))

    first = dose(world, enrolled, 1)
    assert (first.told, first.state, first.reason) == (False, DoseState.DROPPED, "not-ready")


def test_a_dose_told_by_call_keeps_its_litres(world: World) -> None:
    enrolled = enrol(world, can_litres=10, needs_call=True)
    world.tick("2027-03-14T18:00")
    (task,) = calls(world, TaskKind.BY_CALL)
    by_call(world, lambda desk: settle_call(desk, task.id, Answer(said=Said.TOLD)))
    with world.services.sessions.begin() as session:
        session.get_one(ContainerRow, 1).litres = 4

    refresh(world, enrolled)

    first = dose(world, enrolled, 1)
    assert (first.told, first.urine_l) == (True, 10)


def test_a_dose_told_before_its_can_went_is_not_known_rather_than_dropped(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    with world.services.sessions.begin() as session:
        can = session.get_one(ContainerRow, 1)
        add_can_event(
            session,
            1,
            can.id,
            kind=CanEventKind.LEAKED,
            on=date(2027, 3, 15),
            source=Source.CALL,
            now=world.clock(),
        )
        refresh_household(
            session, 1, enrolled.household_id, today=date(2027, 3, 22), now=world.clock()
        )

    assert dose(world, enrolled, 1).state is DoseState.NOT_KNOWN
    assert facts(world, enrolled, FactKind.NOT_READY) == []


def test_a_dose_whose_day_is_near_gets_no_more_than_the_cans_hold(world: World) -> None:
    """A can of 10 L for a share of 150 / 7 = 21.4 L, rounded down to 21 L."""
    enrolled = enrol(world, can_litres=10)

    world.tick("2027-03-13T06:00")

    first, second = doses(world, enrolled)[:2]
    assert (first.urine_l, first.short_l) == (10, 11)
    assert (second.urine_l, second.short_l) == (21.5, 0)


def test_a_dose_still_far_off_keeps_its_share_for_nobody_knows_what_there_will_be(
    world: World,
) -> None:
    enrolled = enrol(world, can_litres=10)

    world.tick("2027-03-12T06:00")

    assert [(row.urine_l, row.short_l) for row in doses(world, enrolled)[:1]] == [(21, 0)]


def test_what_a_dose_lacked_when_it_was_told_goes_to_the_doses_after_it(world: World) -> None:
    """150 L less the 10 L told, over the six doses left: 140 / 6 = 23.3 L, rounded down."""
    enrolled = enrol(world, can_litres=10)

    world.tick("2027-03-14T18:00")
    refresh(world, enrolled)

    first, second = doses(world, enrolled)[:2]
    assert (first.urine_l, first.short_l, first.told) == (10, 11, True)
    assert second.urine_l == 23


def test_a_dose_told_keeps_its_litres_when_the_cans_change(world: World) -> None:
    enrolled = enrol(world, can_litres=10)
    world.tick("2027-03-14T18:00")
    with world.services.sessions.begin() as session:
        session.get_one(ContainerRow, 1).litres = 4

    refresh(world, enrolled)

    assert doses(world, enrolled)[0].urine_l == 10


def test_a_dose_that_comes_back_holds_no_more_than_the_cans(world: World) -> None:
    """Rain on 13 to 25 March takes dose 1; withdrawn on the 15th, its can still holds only 10 L."""
    enrolled = enrol(world, can_litres=10)
    hold(world, enrolled, date(2027, 3, 13), date(2027, 3, 25))
    world.tick("2027-03-14T06:00")
    assert dose(world, enrolled, 1).state is DoseState.DROPPED
    with world.services.sessions.begin() as session:
        session.query(HoldRow).delete()

    world.now = datetime.fromisoformat("2027-03-15T06:00").replace(tzinfo=ZONE)
    refresh(world, enrolled)

    back = dose(world, enrolled, 1)
    assert (back.state, back.urine_l, back.short_l) == (DoseState.PLANNED, 10, 11)


def local_pattern(world: World, days: str) -> None:
    with world.services.sessions.begin() as session:
        session.add(
            LocalValueRow(
                association_id=1,
                key="pattern",
                value=days,
                source="a local trial",
                noted_by="Coordinator",
                recorded_at=world.clock(),
            )
        )


def test_a_shorter_local_pattern_takes_the_doses_after_it_out_of_the_plan(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-16T06:00")

    local_pattern(world, "7,14,21")
    world.tick("2027-03-16T06:01")

    rows = doses(world, enrolled)
    assert [row.state for row in rows[:4]] == [DoseState.PLANNED] * 4
    assert [(row.state, row.reason) for row in rows[4:]] == [
        (DoseState.DROPPED, "not-in-pattern")
    ] * 3


def test_doses_come_back_with_a_longer_pattern(world: World) -> None:
    enrolled = enrol(world)
    local_pattern(world, "7,14,21")
    world.tick("2027-03-16T06:00")

    local_pattern(world, "7,14,21,28,42,56")
    world.tick("2027-03-16T06:01")

    assert [row.state for row in doses(world, enrolled)] == [DoseState.PLANNED] * 7


def test_news_from_elsewhere_is_planned_in_without_anybody_asking_for_it(world: World) -> None:
    """A hold of the area that another process wrote down is in the doses at the next step."""
    enrolled = enrol(world)
    world.tick("2027-03-16T06:00")
    with world.services.sessions.begin() as session:
        session.add(
            AreaHoldRow(
                association_id=1,
                area_id=1,
                first_on=date(2027, 4, 10),
                last_on=date(2027, 4, 12),
                noted_by="Coordinator",
                recorded_at=world.clock(),
            )
        )

    world.tick("2027-03-16T06:01")

    assert dose(world, enrolled, 4).due_on == date(2027, 4, 13)


def test_seed_sown_again_gets_its_doses_anew_but_the_one_given_stays(world: World) -> None:
    """Sown again on 5 April: assumed up on the 11th, doses from 18 April on."""
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T10:00")
    world.tick("2027-04-05T06:00")
    with world.services.sessions.begin() as session:
        session.add(
            PlantingFactRow(
                association_id=1,
                planting_id=enrolled.planting_id,
                kind=FactKind.RESOWN,
                on=date(2027, 4, 5),
                source=Source.CALL,
                recorded_at=world.clock(),
            )
        )
    refresh(world, enrolled)

    rows = doses(world, enrolled)
    assert (rows[0].state, rows[0].due_on) == (DoseState.DONE, date(2027, 3, 15))
    assert [row.due_on for row in rows[1:4]] == [
        date(2027, 4, 18),
        date(2027, 4, 25),
        date(2027, 5, 2),
    ]
    assert {row.state for row in rows[1:]} == {DoseState.PLANNED}


def test_a_dose_given_elsewhere_counts_with_its_litres_and_takes_nothing_from_the_cans(
    world: World,
) -> None:
    """150 L less 60 L given before, over six doses: 15 L each."""
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        session.add(
            PlantingFactRow(
                association_id=1,
                planting_id=enrolled.planting_id,
                kind=FactKind.ELSEWHERE,
                dose_number=1,
                on=date(2027, 3, 15),
                litres=60,
                source=Source.FORM,
                recorded_at=world.clock(),
            )
        )
    world.tick("2027-03-16T06:00")

    rows = doses(world, enrolled)
    assert (rows[0].state, rows[0].urine_l) == (DoseState.DONE, 60)
    assert [row.urine_l for row in rows[1:]] == [15] * 6
    with world.services.sessions.read() as session:
        (can,) = cans_by_household(session, 1, today=date(2027, 3, 16))[enrolled.household_id]
    assert can.litres == 200
