"""A phone in whatever form it is typed, of one household or shared."""

from dataclasses import replace

import pytest

from service.enrolment.entries import CanEntry, Enrolment, HouseholdEntry, PhoneEntry
from service.enrolment.faults import Faults
from service.enrolment.missing import Missing
from service.enrolment.results import NewSign, PhoneAdded, Sign, Stopped
from service.enrolment.steps import add_consent, add_phone, add_plot
from service.records.fields import ContainerRow, PlotRow
from service.records.people import ConsentEventRow, HouseholdPhoneRow, HouseholdRow, PhoneRow
from tests.unit.enrolment.table import (
    ALONE,
    OWN_PHONE,
    PLOT,
    SHARED_PHONE,
    YES,
    at_table,
    enrolled,
    refused,
    rules,
    tried,
    whole_household,
)
from tests.world import OTHER_PHONE, PHONE, World
from tests.world_facts import other_association
from tests.world_looks import rows

OTHER_HOME = HouseholdEntry(alias="Fig corner", area_id=1)


@pytest.mark.parametrize(
    "typed", ["0100 000 001", "+255 100 000 001", "255100000001", "00255100000001", PHONE]
)
def test_every_local_form_is_stored_as_one_number(world: World, typed: str) -> None:
    """E5: typed as 0... with blanks, as +255..., as 255... -> one stored value."""
    outcome = enrolled(world, Enrolment(household=ALONE, phone=PhoneEntry(number=typed)))
    [row] = rows(world, PhoneRow)

    assert outcome.phone is not None
    assert (row.number, outcome.phone.number) == (PHONE, PHONE)
    assert row.typed == typed


def test_a_number_in_use_points_to_who_has_it(world: World) -> None:
    """E5: the second household gets "already used by ..., share it?"."""
    enrolled(world, Enrolment(household=ALONE, phone=OWN_PHONE))
    entry = Enrolment(household=OTHER_HOME, phone=OWN_PHONE)
    outcome = tried(world, entry)

    assert isinstance(outcome, Faults)
    [fault] = outcome.faults
    assert (fault.field, fault.code.value) == ("number", "already-used")
    assert fault.values == {"households": (("001", "Mango corner"),)}
    assert len(rows(world, HouseholdRow)) == 1


def test_a_number_of_another_association_is_new_here(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE))
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
        session.flush()
        session.add(
            PhoneRow(
                association_id=2,
                number=PHONE,
                typed=PHONE,
                language="en",
                muted_until=None,
                recorded_at=world.clock(),
            )
        )
    outcome = enrolled(world, Enrolment(household=OTHER_HOME, phone=OWN_PHONE))

    assert outcome.phone is not None
    assert outcome.phone.shared_with == ()
    assert [row.association_id for row in rows(world, PhoneRow)] == [2, 1]


def test_households_that_come_to_share_a_phone_are_told_apart(world: World) -> None:
    first = enrolled(world, replace(whole_household("Fig corner"), consent=None))
    second = enrolled(
        world,
        Enrolment(household=OTHER_HOME, plot=PLOT, can=CanEntry(litres=10)),
    )
    added = at_table(
        world, lambda desk: add_phone(desk, second.household_id, SHARED_PHONE, rules(world))
    )

    assert isinstance(added, PhoneAdded)
    assert added.shared_with == (first.code,)
    assert added.new_signs == (
        NewSign(sign=Sign.LETTER, before="A", after="D"),
        NewSign(sign=Sign.CAN_NUMBER, before="1", after="2"),
        NewSign(sign=Sign.LABEL, before="Fig corn", after="Fig cor2"),
    )
    assert [plot.letter for plot in rows(world, PlotRow)] == ["A", "D"]
    assert [can.number for can in rows(world, ContainerRow)] == [1, 2]
    assert [home.label for home in rows(world, HouseholdRow)] == ["Fig corn", "Fig cor2"]


def test_a_newcomer_on_a_shared_phone_takes_what_is_free(world: World) -> None:
    enrolled(world, whole_household())
    outcome = enrolled(
        world,
        Enrolment(household=OTHER_HOME, phone=SHARED_PHONE, plot=PLOT, can=CanEntry(litres=1.5)),
    )

    assert outcome.plot is not None
    assert outcome.can is not None
    assert (outcome.plot.letter, outcome.can.number) == ("D", 2)


def test_a_can_number_in_use_on_the_phone_is_refused(world: World) -> None:
    enrolled(world, whole_household())
    entry = Enrolment(
        household=OTHER_HOME, phone=SHARED_PHONE, can=CanEntry(litres=10, can_number=1)
    )

    assert refused(world, entry) == [("can_number", "number-taken")]


def test_the_same_number_told_again_changes_nothing(world: World) -> None:
    outcome = enrolled(world, whole_household())
    again = at_table(
        world, lambda desk: add_phone(desk, outcome.household_id, OWN_PHONE, rules(world))
    )

    assert isinstance(again, PhoneAdded)
    assert again.new_signs == ()
    assert len(rows(world, HouseholdPhoneRow)) == 1


def test_a_ninth_plot_on_a_phone_has_no_letter_and_is_served_by_calls(world: World) -> None:
    first = enrolled(world, whole_household())
    second = enrolled(world, Enrolment(household=OTHER_HOME, phone=SHARED_PHONE))
    letters = []
    for _ in range(8):
        added = at_table(world, lambda desk: add_plot(desk, second.household_id, PLOT))
        assert not isinstance(added, Faults)
        letters.append(added.letter)
    third = enrolled(
        world,
        Enrolment(
            household=replace(OTHER_HOME, alias="Date corner"), phone=SHARED_PHONE, plot=PLOT
        ),
    )

    assert first.plot is not None
    assert [first.plot.letter, *letters] == ["A", "D", "G", "J", "M", "P", "T", "W", None]
    assert third.plot is not None
    assert third.plot.letter is None
    assert Missing.LETTER in third.missing


def test_a_phone_that_said_stop_is_linked_but_takes_no_yes(world: World) -> None:
    enrolled(world, whole_household())
    world.tick("2027-03-13T09:00")
    world.text("STOP", at="2027-03-13T12:00")
    before = len(rows(world, ConsentEventRow))
    outcome = enrolled(world, Enrolment(household=OTHER_HOME, phone=SHARED_PHONE, consent=YES))

    assert outcome.phone is not None
    assert outcome.phone.stopped
    assert outcome.consent == Stopped(phone_id=outcome.phone.phone_id)
    assert Missing.STOPPED in outcome.missing
    assert len(rows(world, ConsentEventRow)) == before


def test_a_yes_needs_a_phone_that_serves_the_household(world: World) -> None:
    enrolled(world, whole_household())
    other = enrolled(world, Enrolment(household=OTHER_HOME, phone=PhoneEntry(number=OTHER_PHONE)))
    outcome = at_table(world, lambda desk: add_consent(desk, other.household_id, 1, YES))

    assert isinstance(outcome, Faults)
    assert [fault.code.value for fault in outcome.faults] == ["needs-phone"]
