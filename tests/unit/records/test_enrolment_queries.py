"""Who shares a phone, and which ground is free, asked for one household of one association."""

from service.records.enrolment import free_plots, neighbours
from service.records.fields import PlantingRow
from service.records.people import HouseholdPhoneRow
from tests.world import OTHER_PHONE, World, enrol
from tests.world_facts import another_phone, other_association


def test_neighbours_are_the_others_on_any_of_a_household_s_phones(world: World) -> None:
    first = enrol(world, code="H01")
    second = enrol(world, code="H02", letter="D")
    third = enrol(world, code="H03", letter="G", number=OTHER_PHONE)
    apart = another_phone(world, first, number="+255100000003")
    with world.services.sessions.begin() as session:
        session.add(
            HouseholdPhoneRow(
                association_id=1, household_id=first.household_id, phone_id=third.phone_id
            )
        )
        session.add(other_association(world.clock()))
    with world.services.sessions.read() as session:
        found = {
            home.household_id: neighbours(session, 1, home.household_id)
            for home in (first, second, third)
        }
        foreign = neighbours(session, 2, first.household_id)

    assert apart not in {first.phone_id, third.phone_id}
    assert found[first.household_id] == {second.household_id, third.household_id}
    assert found[second.household_id] == {first.household_id}
    assert found[third.household_id] == {first.household_id}
    assert foreign == frozenset()


def test_a_plot_is_free_while_nothing_stands_on_it(world: World) -> None:
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
    with world.services.sessions.read() as session:
        planted = free_plots(session, 1, enrolled.household_id)

    with world.services.sessions.begin() as session:
        session.get_one(PlantingRow, enrolled.planting_id).closed_on = world.clock().date()
    with world.services.sessions.read() as session:
        harvested = free_plots(session, 1, enrolled.household_id)
        foreign = free_plots(session, 2, enrolled.household_id)

    assert planted == []
    assert [plot.id for plot in harvested] == [enrolled.plot_id]
    assert foreign == []
