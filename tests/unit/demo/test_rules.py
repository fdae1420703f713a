"""A season that broke a rule of the cans, the notices or the plan would be told so."""

from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.demo.invariants import broken_rules
from service.records.fields import DoseRow
from service.records.people import AuditRow
from service.records.traffic import MessageDoseRow, MessageRow
from tests.world import World, enrol
from tests.world_facts import another_can, can_event
from tests.world_looks import messages


@pytest.fixture
def told(world: World) -> World:
    """A world whose first dose was told, from can 1, and given; can 2 has not rested yet."""
    enrolled = enrol(world)
    another_can(world, enrolled, number=2, sealed_on=date(2027, 3, 1))
    world.tick("2027-03-08T18:00")
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    return world


def faults(world: World) -> list[str]:
    lane = world.services.lane()
    assert lane is not None
    return broken_rules(world.services, lane, world.gateway)


def test_a_season_as_it_should_be_breaks_nothing(told: World) -> None:
    assert faults(told) == []


@pytest.mark.parametrize(
    ("key", "value", "fault"),
    [
        pytest.param("urine", 201.0, "tells of more than was ready", id="litres"),
        pytest.param("can", [2], "names a can that was not ready", id="can"),
    ],
)
def test_a_text_beyond_the_ready_cans_is_named(
    told: World, key: str, value: object, fault: str
) -> None:
    (row,) = messages(told, "dose")
    with told.services.sessions.begin() as session:
        kept = session.get_one(MessageRow, row.id)
        kept.fields = {**kept.fields, "values": {**kept.fields["values"], key: value}}

    assert faults(told) == [f"message {row.id} {fault}"]


def test_a_dose_beyond_the_ready_cans_is_named(told: World) -> None:
    with told.services.sessions.begin() as session:
        dose = session.query(DoseRow).filter_by(number=1).one()
        dose.urine_l, number = 201.0, dose.id

    assert f"dose {number} took more than was ready" in faults(told)


def test_what_became_known_after_the_text_breaks_no_rule(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.now = world.now.replace(day=15)

    can_event(world, enrolled, CanEventKind.LEAKED, date(2027, 3, 14))

    assert messages(world, "dose") != []
    assert faults(world) == []


def test_a_notice_that_left_twice_is_named(told: World) -> None:
    (row,) = messages(told, "season_opens")[:1]
    with told.services.sessions.begin() as session:
        twin = session.query(MessageRow).filter_by(kind="dose_rain").one()
        twin.kind, twin.dedupe_key = "season_opens", f"{row.dedupe_key}~1"
        session.query(MessageDoseRow).delete()

    assert f"notice {row.dedupe_key} left 2 times" in faults(told)


def test_a_dose_told_again_after_it_was_taken_back_is_named(told: World) -> None:
    (row,) = messages(told, "dose")
    with told.services.sessions.begin() as session:
        link = session.query(MessageDoseRow).one()
        (early,) = messages(told, "season_opens")[:1]
        back = session.get_one(MessageRow, early.id)
        back.kind = "withdrawn"
        back.dedupe_key = f"withdrawn:{row.phone_id}:{link.dose_id}.{link.due_on}"

    assert f"message {row.id} tells of a dose that was taken back" in faults(told)


def test_a_plan_found_stale_is_named(told: World) -> None:
    entry = AuditRow(
        association_id=1,
        at=told.clock(),
        who="demo",
        what="look",
        subject="plan",
        subject_id=0,
        origin="demo",
        detail={"tally": {}, "notes": {}, "stale": [1]},
    )
    with told.services.sessions.begin() as session:
        session.add(entry)

    (fault,) = faults(told)
    assert fault.startswith("planting 1 was not planned by its facts")
