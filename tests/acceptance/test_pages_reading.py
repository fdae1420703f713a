"""Texts that a person must read, settled on the reading page."""

from datetime import date

from flask.testing import FlaskClient

from service.records.fields import FactKind, Source
from service.records.traffic import InboundRow, TaskKind
from tests.web.reading import buttons_of, headings_of, post, text_of
from tests.world import OTHER_PHONE, World, enrol, tick_through
from tests.world_facts import another_plot
from tests.world_looks import calls, facts, rows, sent_kinds, to_read

REFUSAL = "sitaki hii tena labda"


def press(client: FlaskClient, world: World, choice: str) -> None:
    """Press a button beside the one text that waits."""
    (row,) = to_read(world)
    assert post(client, f"/reading/{row.id}", "/reading", choice=choice).status_code == 303


def test_done_with_two_open_doses_is_read_by_the_coordinator_who_picks_one(
    client: FlaskClient, world: World
) -> None:
    """R2: the text with its open doses and readings; recorded as said by the grower, read by C."""
    first = enrol(world)
    second = another_plot(world, first, letter="D")
    tick_through(world, date(2027, 4, 25), date(2027, 5, 1), hours=("18:00",))
    world.text("done", at="2027-05-02T12:00")
    page = client.get("/reading").text
    press(client, world, "done D6-0")
    (given,) = facts(world, second, *FactKind)
    (kept,) = rows(world, InboundRow)

    assert "done" in text_of(page)
    assert "Doses open then: A6 Sun 2 May, D6 Sun 2 May." in text_of(page)
    assert buttons_of(page)[:2] == ["A6 was done today", "D6 was done today"]
    assert (given.kind, given.dose_number, given.on) == (FactKind.APPLIED, 6, date(2027, 5, 2))
    assert (given.source, given.noted_by) == (Source.TEXT, "Neema Test")
    assert facts(world, first, *FactKind) == []
    assert (kept.read_by, kept.read_as) == ("Neema Test", "done D6-0")


def test_the_grower_is_told_once_that_a_person_reads(client: FlaskClient, world: World) -> None:
    """R2: grower told "a person will read" once, and after the reading gets the sure answer."""
    another_plot(world, enrol(world), letter="D")
    tick_through(world, date(2027, 4, 25), date(2027, 5, 1), hours=("18:00",))
    world.text("done", at="2027-05-02T12:00")
    world.text("done I say", at="2027-05-02T13:00")
    told = sent_kinds(world).count("unread")
    for row in to_read(world):
        post(client, f"/reading/{row.id}", "/reading", choice="done A6-0")
        break
    world.tick("2027-05-02T13:05")

    assert told == 1
    assert sent_kinds(world)[-1] == "r_done"
    assert "A6 done Sun 2 May" in world.bodies()[-1]


def test_a_refusal_in_other_words_stands_first_and_holds_the_next_reminder(
    client: FlaskClient, world: World
) -> None:
    """R10: inbox top, next reminder held until C picks "go on"; then the reminder goes."""
    enrol(world, language="sw")
    enrol(world, code="H02", number=OTHER_PHONE, can=2)
    world.text("perhaps", number=OTHER_PHONE, at="2027-03-13T08:00")
    world.text(REFUSAL, at="2027-03-13T09:00")
    page = client.get("/reading").text
    world.tick("2027-03-14T18:00")
    held, others = len(world.bodies()), len(world.bodies(OTHER_PHONE))
    refusal = next(row for row in to_read(world) if row.text == REFUSAL)
    post(client, f"/reading/{refusal.id}", page, choice="go-on")
    world.tick("2027-03-14T18:10")

    assert headings_of(page, "h2")[0].startswith("H01")
    assert "Paused: no text goes to this phone until you choose." in text_of(page)
    assert (held, others) == (1, 2)  # each was told that a person reads; only one got its reminder
    assert "A1" in world.bodies()[1]


def test_a_refusal_may_be_read_as_a_stop(client: FlaskClient, world: World) -> None:
    """R10: C picks "stop": nothing goes any more, and the household is called instead."""
    enrolled = enrol(world, language="sw")
    world.text(REFUSAL, at="2027-03-13T09:00")
    press(client, world, "stop")
    tick_through(world, date(2027, 3, 14), date(2027, 3, 15), hours=("06:00", "18:00"))

    assert sent_kinds(world) == ["unread"]
    assert {task.household_id for task in calls(world, TaskKind.BY_CALL)} == {enrolled.household_id}
