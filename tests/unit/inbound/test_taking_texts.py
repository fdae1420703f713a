"""A text is kept once, read, acted on, and answered."""

from datetime import date

import pytest

from gateway_adapters.events import Inbound
from service.agronomy.containers import CanEventKind
from service.inbound.acts import Act, act
from service.inbound.handler import handle_text
from service.inbound.keeping import Route
from service.inbound.replies import Replies
from service.inbound.reply_codes import Item, Meaning, Reading
from service.inbound.situation import situation_of
from service.records.fields import DoseState, FactKind
from service.records.inbox import inbound, mark_read
from service.records.phones import phone_by_number
from service.records.plantings import association
from service.records.traffic import InboundRow, TaskKind
from tests.world import OTHER_PHONE, PERSON, PHONE, World, enrol
from tests.world_facts import another_plot, can_event
from tests.world_looks import calls, dose, facts, messages, rows, to_read

STRANGER = "+255100000077"


def answers(world: World, number: str = PHONE) -> list[str]:
    """Return the kinds of the answers to a number, in order."""
    return [row.kind for row in messages(world) if row.evening is None and row.number == number]


def take(world: World, event: Inbound) -> None:
    lane = world.services.lane()
    assert lane is not None
    route = Route(association_id=lane.association_id, route_id=lane.route_id)
    with world.services.sessions.begin() as session:
        handle_text(session, route, event, now=world.clock())


def an_event(world: World, text: str, *, sender: str = PHONE, event_id: str = "e1") -> Inbound:
    return Inbound(
        event_id=event_id, sender=sender, to="15050", text=text, received_at=world.clock()
    )


def kept(world: World) -> InboundRow:
    return rows(world, InboundRow)[-1]


def test_a_report_is_kept_with_what_it_was_read_to_mean(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-15T09:00")

    world.text("a1 done.", at="2027-03-15T12:00")

    row = kept(world)
    assert (row.text, row.meaning, row.hint, row.to_read) == ("a1 done.", "done", "A1-0", False)
    assert (row.phone_id, row.sender) == (enrolled.phone_id, PHONE)
    assert dose(world, enrolled, 1).state is DoseState.DONE
    assert answers(world) == ["r_done"]


def test_the_same_event_again_changes_nothing(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-15T09:00")

    for _ in range(3):
        take(world, an_event(world, "A1"))

    assert len(rows(world, InboundRow)) == 1
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1
    assert answers(world) == ["r_done"]


@pytest.mark.parametrize(
    ("at", "count"),
    [
        pytest.param("2027-03-15T12:10", 1, id="ten minutes later: a slow phone"),
        pytest.param("2027-03-15T12:11", 2, id="later: asked again"),
    ],
)
def test_the_same_words_at_once_are_answered_once(world: World, at: str, count: int) -> None:
    enrol(world)
    world.tick("2027-03-15T09:00")
    world.text("why A", at="2027-03-15T12:00")

    world.text("WHY a", at=at)

    assert answers(world) == ["r_why_planting"] * count
    assert len(rows(world, InboundRow)) == 2


def test_a_dose_reported_again_is_answered_as_noted_before(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-15T09:00")
    world.text("A1", at="2027-03-15T12:00")

    world.text("A1", at="2027-03-15T14:00")

    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1
    assert answers(world) == ["r_done", "r_again"]


def test_two_doses_in_one_text_are_two_facts_and_two_answers(world: World) -> None:
    enrolled = enrol(world)
    second = another_plot(world, enrolled, letter="D")
    world.tick("2027-03-15T09:00")

    world.text("A1 D1", at="2027-03-15T12:00")

    assert [dose(world, plot, 1).state for plot in (enrolled, second)] == [DoseState.DONE] * 2
    assert answers(world) == ["r_done", "r_done"]


@pytest.mark.parametrize(
    ("text", "kind", "fact"),
    [
        ("A1 no", "r_notdone", FactKind.NOT_APPLIED),
        ("A sown", "r_sown", FactKind.SOWN),
        ("A up", "unread", None),
        ("A rain", "r_rain", None),
        ("A burnt", "r_burn", FactKind.BURNT),
        ("A harvest", "harvest_early", FactKind.HARVESTED),
        ("why A", "r_why_planting", None),
        ("help", "help", None),
    ],
)
def test_each_word_has_its_fact_and_its_answer(
    world: World, text: str, kind: str, fact: FactKind | None
) -> None:
    """`A up` on the day of sowing cannot be; a harvest on a dose's own day is too early."""
    enrolled = enrol(world, planted_on=date(2027, 3, 14))
    world.tick("2027-03-14T12:00")

    world.text(text, at="2027-03-14T13:00")

    assert answers(world) == [kind]
    every = facts(world, enrolled, *FactKind)
    assert [row.kind for row in every] == ([] if fact is None else [fact])


def test_a_can_sealed_is_answered_with_its_ready_day(world: World) -> None:
    enrolled = enrol(world)
    can_event(world, enrolled, CanEventKind.OPENED, date(2027, 3, 1))

    world.text("CAN 1", at="2027-03-10T12:00")

    (row,) = messages(world, "sealed")
    assert row.fields["values"] == {
        "n": 1,
        "day": "2027-03-10",
        "wait": 30,
        "ready": "2027-04-09",
    }


@pytest.mark.parametrize("text", ["thanks", "A3 has been done by whom?", "?", "12345"])
def test_nothing_is_guessed(world: World, text: str) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-15T09:00")

    world.text(text, at="2027-03-15T12:00")

    assert facts(world, enrolled, *FactKind) == []
    assert [row.text for row in to_read(world)] == ([] if text == "thanks" else [text])
    assert answers(world) == ([] if text == "thanks" else ["unread"])


def test_a_report_that_cannot_be_goes_to_the_reading_list_with_its_plot(world: World) -> None:
    enrol(world)
    world.tick("2027-03-22T00:00")

    world.text("A1 7", at="2027-03-22T12:00")

    row = kept(world)
    assert (row.to_read, row.hint, row.plots) == (True, "too long ago", "A")
    assert (row.pauses, answers(world)) == (False, ["unread"])


def test_no_against_a_dose_noted_as_done_goes_to_a_person(world: World) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-15T09:00")
    world.text("A1", at="2027-03-15T12:00")

    world.text("A1 NO", at="2027-03-15T13:00")

    assert dose(world, enrolled, 1).state is DoseState.DONE
    assert kept(world).hint == "noted as done"


def test_a_text_that_may_be_a_refusal_stops_all_texts_until_it_was_read(world: World) -> None:
    enrol(world)
    world.text("we do not want any of this, A1", at="2027-03-14T12:00")
    paused = kept(world).pauses
    world.tick("2027-03-14T18:00")
    while_unread = [row.kind for row in messages(world, "dose")]

    with world.services.sessions.begin() as session:
        mark_read(session, 1, kept(world).id, who="coordinator", now=world.clock())
    world.tick("2027-03-14T18:30")

    assert (paused, while_unread) == (True, [])
    assert [row.kind for row in messages(world, "dose")] == ["dose_rain"]
    assert kept(world).read_by == "coordinator"


def test_a_text_that_may_name_a_dose_holds_that_plots_texts_until_it_was_read(
    world: World,
) -> None:
    enrolled = enrol(world)
    another_plot(world, enrolled, letter="D")
    world.text("A1 or so, half", at="2027-03-14T12:00")
    with world.services.sessions.begin() as session:
        inbound(session, 1, kept(world).id).plots = "A"

    world.tick("2027-03-14T18:00")

    (row,) = messages(world, "dose", "digest")
    assert row.fields["values"]["code"] == "D1"


def test_a_stranger_is_kept_and_not_answered(world: World) -> None:
    enrol(world)

    world.text("A1 done", number=STRANGER, at="2027-03-15T12:00")

    row = kept(world)
    assert (row.phone_id, row.to_read) == (None, True)
    assert answers(world, STRANGER) == []


@pytest.mark.parametrize("sender", ["INFO", "15015", "MobileMoney"])
def test_a_machine_is_never_answered_nor_read(world: World, sender: str) -> None:
    enrol(world)
    world.tick("2027-03-15T09:00")

    take(world, an_event(world, "JOIN and win", sender=sender))

    assert (kept(world).to_read, answers(world, sender)) == (False, [])
    assert calls(world, TaskKind.ENROL) == []


def test_a_long_text_is_cut_and_a_long_name_too(world: World) -> None:
    enrol(world)
    world.tick("2027-03-15T09:00")

    take(world, an_event(world, "x" * 1500, sender="N" * 40))

    assert (len(kept(world).text), len(kept(world).sender)) == (1000, 32)


def test_a_known_phone_that_asks_to_join_is_read_by_a_person(world: World) -> None:
    enrol(world)

    world.text("JOIN", at="2027-03-15T12:00")

    assert (kept(world).to_read, kept(world).hint) == (True, "join")


def test_a_text_names_only_the_plots_of_its_own_phone(world: World) -> None:
    enrol(world)
    other = enrol(world, code="H02", number=OTHER_PHONE, letter="D")
    world.tick("2027-03-15T09:00")

    world.text("D1", at="2027-03-15T12:00")

    assert facts(world, other, *FactKind) == []
    assert kept(world).to_read is True


@pytest.mark.parametrize(
    ("meaning", "item", "hint"),
    [
        (Meaning.DONE, Item(plot="T", dose=1), "plot?"),
        (Meaning.WHY, Item(plot="T"), "plot?"),
        (Meaning.SEALED, Item(can=9), "can number"),
    ],
)
def test_what_was_read_and_is_gone_by_now_goes_to_a_person(
    world: World, meaning: Meaning, item: Item, hint: str
) -> None:
    enrol(world)
    world.text("hello", at="2027-03-15T12:00")
    with world.services.sessions.begin() as session:
        row = association(session, 1)
        phone = phone_by_number(session, 1, PHONE)
        assert phone is not None
        message = inbound(session, 1, 1)
        replies = Replies(
            session=session, association=row, phone=phone, inbound=message, now=world.clock()
        )
        situation = situation_of(session, row, phone, language="en", now=world.clock())
        reading = Reading(meaning=meaning, items=(item,))

        act(Act(replies=replies, phone=phone, situation=situation, reading=reading))

    assert (kept(world).to_read, kept(world).hint) == (True, hint)


def test_again_with_a_no_in_a_reading_goes_to_a_person(world: World) -> None:
    """Between the reading and the act another phone of the home has reported the dose."""
    enrol(world)
    world.tick("2027-03-15T09:00")
    world.text("A1", at="2027-03-15T12:00")
    with world.services.sessions.begin() as session:
        row = association(session, 1)
        phone = phone_by_number(session, 1, PHONE)
        assert phone is not None
        replies = Replies(
            session=session,
            association=row,
            phone=phone,
            inbound=inbound(session, 1, 1),
            now=world.clock(),
        )
        situation = situation_of(session, row, phone, language="en", now=world.clock())
        reading = Reading(meaning=Meaning.NOT_DONE, items=(Item(plot="A", dose=1),))

        act(Act(replies=replies, phone=phone, situation=situation, reading=reading))

    assert (kept(world).to_read, kept(world).hint) == (True, "was noted as done")
    assert PERSON not in world.bodies()[-1]
