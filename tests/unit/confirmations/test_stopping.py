"""A phone's texts end when somebody asks for it by voice."""

import pytest
from sqlalchemy.exc import NoResultFound

from service.confirmations.outcomes import Desk
from service.confirmations.stopping import stop_phone
from service.messages.lifecycle import State
from service.planning.send_window import local_day
from service.records.fields import Source
from service.records.people import AuditRow, Consent, ConsentEventRow
from service.records.phones import phone_by_id
from tests.world import PHONE, ZONE, Enrolled, World, enrol
from tests.world_facts import other_association
from tests.world_looks import messages, rows, sent_kinds

ANOTHER_HOME = "H02"


def stopped(world: World, enrolled: Enrolled, *, association_id: int = 1) -> bool:
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=association_id,
            source=Source.CALL,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
            noted_by="Neema Test",
        )
        return stop_phone(desk, enrolled.phone_id)


def test_a_wish_said_by_voice_cancels_what_waits_for_the_phone(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T12:00")
    assert State.QUEUED in {row.state for row in messages(world)}

    assert stopped(world, enrolled)

    assert {row.state for row in messages(world)} == {State.CANCELLED}


def test_nothing_reaches_a_stopped_phone_any_more(world: World) -> None:
    enrolled = enrol(world)
    stopped(world, enrolled)

    world.tick("2027-03-14T18:00")
    world.tick("2027-03-16T18:00")

    assert world.bodies() == []


def test_no_text_confirms_a_stop_that_nobody_texted(world: World) -> None:
    enrolled = enrol(world)

    stopped(world, enrolled)
    world.tick()

    assert sent_kinds(world) == []


def test_the_record_says_who_noted_it_and_holds_no_number(world: World) -> None:
    enrolled = enrol(world)

    stopped(world, enrolled)

    said = rows(world, ConsentEventRow)[-1]
    assert (said.kind, said.asked_by) == (Consent.STOPPED, "Neema Test")
    written = rows(world, AuditRow)[-1]
    assert (written.who, written.what, written.origin) == ("Neema Test", "texts stopped", "call")
    assert (written.subject, written.subject_id) == ("phone", enrolled.phone_id)
    assert PHONE not in str(written.detail)


def test_a_phone_that_has_stopped_is_not_stopped_again(world: World) -> None:
    enrolled = enrol(world)
    stopped(world, enrolled)

    assert not stopped(world, enrolled)

    kinds = [event.kind for event in rows(world, ConsentEventRow)]
    assert kinds.count(Consent.STOPPED) == 1
    assert len(rows(world, AuditRow)) == 1


def test_all_who_share_the_phone_get_no_more_texts(world: World) -> None:
    enrolled = enrol(world)
    enrol(world, code=ANOTHER_HOME, letter="D", can=2)

    stopped(world, enrolled)

    with world.services.sessions.read() as session:
        assert phone_by_id(session, 1, enrolled.phone_id).consenting() == frozenset()


def test_start_from_the_phone_itself_begins_again_and_a_stop_can_follow(world: World) -> None:
    enrolled = enrol(world)
    stopped(world, enrolled)

    world.text("START", at="2027-03-01T12:00")
    with world.services.sessions.read() as session:
        assert phone_by_id(session, 1, enrolled.phone_id).consenting() == {enrolled.household_id}
    assert stopped(world, enrolled)


def test_another_associations_phone_is_out_of_reach(world: World) -> None:
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))

    with pytest.raises(NoResultFound):
        stopped(world, enrolled, association_id=2)
