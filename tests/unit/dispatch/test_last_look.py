"""Just before the send: is a text still wanted, still right, still allowed?"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

import pytest

from gateway_adapters.segments import split
from service.confirmations.crop_news import confirm_rain
from service.confirmations.doses import confirm_done
from service.dispatch.last_look import last_look
from service.outbox.claim import Claimed
from service.outbox.enqueue import enqueue
from service.records.people import Consent, PhoneRow
from service.records.traffic import (
    MessageEventRow,
    MessageRow,
)
from tests.unit.dispatch.sending import at, due, send
from tests.unit.outbox.queue import a_draft
from tests.world import OTHER_PHONE, PHONE, ZONE, Enrolled, World, enrol
from tests.world_facts import by_call, consent_said
from tests.world_looks import messages, rows, states


def reason(world: World, message_id: int) -> str | None:
    with world.services.sessions.begin() as session:
        row = session.get_one(MessageRow, message_id)
        item = Claimed(
            message_id=row.id,
            token="",
            number=row.number,
            body="x",
            segments=split("x"),
            valid_until=row.expires_at,
            phone_id=row.phone_id,
            kind=row.kind,
            evening=row.evening,
            due_at=row.due_at,
        )
        return last_look(session, 1, [item])(item)


def stopped(world: World, home: Enrolled) -> None:
    consent_said(world, home, Consent.STOPPED)


def held(world: World, home: Enrolled) -> None:
    by_call(world, lambda desk: confirm_rain(desk, home.planting_id))


def given(world: World, home: Enrolled) -> None:
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, 1, on=date(2027, 3, 15)))


def renumbered(world: World, home: Enrolled) -> None:
    with world.services.sessions.begin() as session:
        session.get_one(PhoneRow, home.phone_id).number = "+255100000055"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (stopped, "consent ended"),
        (held, "dose changed"),
        (given, "dose closed"),
        (renumbered, "number changed"),
    ],
)
def test_the_last_look_stops_a_text_that_became_wrong_after_its_claim(
    world: World, change: Callable[[World, Enrolled], None], why: str
) -> None:
    """The repeat of 16 March; the dose of the 15th is open by then."""
    home = enrol(world)
    world.tick("2027-03-15T19:00")
    at(world, "2027-03-16T18:00")

    def meanwhile(point: str) -> None:
        if point == "after-claim":
            change(world, home)

    world.mark = meanwhile
    sent = send(world)

    assert (sent, world.bodies()) == (0, [])
    assert states(world, "repeat") == ["cancelled"]
    assert rows(world, MessageEventRow)[-1].detail == why


def test_an_answer_to_a_number_of_nobody_needs_no_look(world: World) -> None:
    enrol(world)
    world.text("JOIN", number=OTHER_PHONE, at="2027-03-14T10:00")
    (row,) = messages(world, "join_ok")

    assert (row.phone_id, reason(world, row.id)) == (None, None)


def test_an_answer_given_before_a_stop_no_longer_goes_and_one_after_it_does(world: World) -> None:
    home = enrol(world)
    world.text("help", at="2027-03-14T10:00")
    world.now = datetime(2027, 3, 14, 10, 5, tzinfo=ZONE)
    consent_said(world, home, Consent.STOPPED)
    world.text("why A", at="2027-03-14T10:10")
    before, after = messages(world, "help")[0], messages(world, "r_why")[0]

    assert (reason(world, before.id), reason(world, after.id)) == ("consent ended", None)


def test_the_confirmation_of_a_stop_always_goes(world: World) -> None:
    enrol(world)
    world.text("STOP", at="2027-03-14T10:00")
    (row,) = messages(world, "stop_ok")

    assert (row.state, reason(world, row.id)) == ("delivered", None)


def test_an_invitation_answered_meanwhile_no_longer_goes(world: World) -> None:
    home = enrol(world, consent=Consent.VERBAL)
    world.tick("2027-03-14T21:00")
    (row,) = messages(world, "consent")
    waiting = reason(world, row.id)

    consent_said(world, home, Consent.GIVEN)

    assert (row.state, waiting, reason(world, row.id)) == ("queued", None, "no invitation waits")


def test_of_two_texts_for_one_evening_only_the_first_leaves(world: World) -> None:
    row = due(world)
    again = a_draft(
        "jobs:twin",
        route_id=row.route_id,
        evening=row.evening,
        due_at=row.due_at,
        expires_at=row.expires_at,
        kind="emerge_q",
        fields={"values": {"plot": "A", "crop": "maize-grain"}},
    )
    with world.services.sessions.begin() as session:
        twin = enqueue(session, 1, again, now=world.clock())
        correction = enqueue(
            session,
            1,
            replace(
                again,
                dedupe_key="withdrawn:1",
                kind="withdrawn",
                fields={"values": {"code": "A1", "plot": "A", "phone": PHONE}},
            ),
            now=world.clock(),
        )

    send(world)

    by_id = {item.id: item.state for item in messages(world)}
    assert sorted((by_id[row.id], by_id[twin or 0])) == ["cancelled", "submitted"]
    assert by_id[correction or 0] == "submitted"
