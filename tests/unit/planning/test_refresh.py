"""A planting's doses follow its facts; a revision rises only for a dose that itself changes.

Maize for grain on 100 m² at 1.5 L/m²: 150 L over seven doses, the first on the day of sowing.
"""

from datetime import date

import pytest

from service.planning.cans import cans_by_household
from service.planning.refresh import refresh_planting
from service.planning.send_window import local_day
from service.records.fields import DoseRow, DoseState, FactKind, Source
from service.records.holds import add_hold
from service.records.plantings import association
from tests.world import ZONE, Enrolled, World, doses, enrol
from tests.world_looks import dose, facts

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
        cans = cans_by_household(session, association(session, 1), today=today)
        refresh_planting(
            session,
            1,
            enrolled.planting_id,
            cans=cans.get(enrolled.household_id, ()),
            today=today,
            now=world.clock(),
        )


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
    """Sealed on 10 March, ready on 9 April: doses 1 to 3 find nothing to pour."""
    enrolled = enrol(world, sealed_on=date(2027, 3, 10))

    world.tick("2027-04-11T06:00")

    rows = doses(world, enrolled)
    assert [(row.state, row.reason) for row in rows[:3]] == [(DoseState.DROPPED, "not-ready")] * 3
    assert [row.state for row in rows[3:]] == [DoseState.PLANNED] * 4
    written = facts(world, enrolled, FactKind.NOT_READY)
    assert [(fact.dose_number, fact.source) for fact in written] == [
        (1, Source.SERVICE),
        (2, Source.SERVICE),
        (3, Source.SERVICE),
    ]
    assert [fact.on for fact in written] == [
        date(2027, 3, 21),
        date(2027, 4, 3),
        date(2027, 4, 10),
    ]


def test_what_was_not_ready_is_shared_over_the_rest_up_to_the_cap(world: World) -> None:
    """Cap: twice the season's total over the doses of the pattern, 300 / 7 = 42.8 L."""
    enrolled = enrol(world, sealed_on=date(2027, 3, 10))

    world.tick("2027-04-11T06:00")

    left = [row.urine_l for row in doses(world, enrolled)[3:]]
    assert sum(left) == 150
    assert max(left) <= 42.8


def test_news_of_dropped_doses_is_written_down_once(world: World) -> None:
    enrolled = enrol(world, sealed_on=date(2027, 3, 10))
    world.tick("2027-04-11T06:00")
    before = [plain(row) for row in doses(world, enrolled)]

    world.tick("2027-04-11T07:00")

    assert len(facts(world, enrolled, FactKind.NOT_READY)) == 3
    assert [plain(row) for row in doses(world, enrolled)] == before


def test_a_dose_told_before_its_can_went_is_not_known_rather_than_dropped(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    with world.services.sessions.begin() as session:
        row = association(session, 1)
        refresh_planting(
            session,
            row.id,
            enrolled.planting_id,
            cans=(),
            today=date(2027, 3, 22),
            now=world.clock(),
        )

    assert dose(world, enrolled, 1).state is DoseState.NOT_KNOWN
    assert facts(world, enrolled, FactKind.NOT_READY) == []
