"""What a grower's text does: recorded or read by a person, answered or not."""

from datetime import date
from pathlib import Path

import pytest

from service.agronomy.calendar import add_days
from service.dispatch.dispatcher import Lane
from service.messages.lifecycle import State
from service.records.fields import DoseState, FactKind
from service.records.traffic import TaskKind
from tests.world import OTHER_PHONE, PHONE, World, enrol, tick_through
from tests.world_facts import another_phone, another_plot
from tests.world_looks import calls, dose, facts, messages, sent_kinds, states, to_read

STRANGER = "+255100000055"


@pytest.mark.parametrize(
    ("language", "word"),
    [
        pytest.param("sw", "tayari", id="Swahili"),
        pytest.param("sw", "Nimemaliza!", id="Swahili, as a sentence"),
        pytest.param("en", "done", id="English"),
    ],
)
def test_a_bare_word_for_done_is_taken_when_one_dose_is_open(
    tmp_path: Path, language: str, word: str
) -> None:
    """R3: one open: `tayari` -> recorded, the answer names the key."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, language=language)
    tick_through(world, date(2027, 4, 25), date(2027, 5, 1), hours=("18:00",))
    world.text(word, at="2027-05-02T12:00")
    given = facts(world, enrolled, FactKind.APPLIED)

    assert [(fact.dose_number, fact.on) for fact in given] == [(6, date(2027, 5, 2))]
    assert "A6" in world.bodies()[-1]
    assert sent_kinds(world)[-1] == "r_done"
    world.close()


@pytest.mark.parametrize("shared", [False, True], ids=["one home", "two homes"])
def test_a_bare_word_for_done_is_read_when_two_doses_are_open(
    tmp_path: Path,
    shared: bool,  # noqa: FBT001 -- pytest passes parameters by name
) -> None:
    """R3: two open over all households of the phone -> nothing is recorded, a person reads."""
    world = World(folder=tmp_path)
    first = enrol(world)
    second = (
        enrol(world, code="H02", letter="D", can=2)
        if shared
        else another_plot(world, first, letter="D")
    )
    tick_through(world, date(2027, 4, 25), date(2027, 5, 1), hours=("18:00",))
    world.text("done", at="2027-05-02T12:00")

    assert len(to_read(world)) == 1
    assert [*facts(world, first, *FactKind), *facts(world, second, *FactKind)] == []
    assert sent_kinds(world)[-1] == "unread"
    world.close()


def take_in(world: World) -> None:
    """Let the service take in what has come, as its receiver does beside the dispatcher."""
    lane = world.services.lane()
    assert isinstance(lane, Lane)
    world.services.receiver(lane).run_once()


@pytest.mark.parametrize("word", ["STOP", "acha", "Arret", "please stop sending"])
def test_stop_ends_even_a_text_that_is_claimed_and_not_yet_sent(tmp_path: Path, word: str) -> None:
    """R5: STOP at 18:00:00 with the text claimed and not yet submitted -> not sent."""
    world = World(folder=tmp_path)
    enrol(world)
    said: list[str] = []

    def stop_once(point: str) -> None:
        if point == "after-claim" and not said:
            said.append(word)
            world.gateway.answer(PHONE, word)
            take_in(world)

    world.mark = stop_once
    world.tick("2027-03-14T18:00")

    assert states(world, "dose") == [State.CANCELLED]
    assert [row.kind for row in messages(world) if row.body and row.token] != []
    assert [text[:34] for text in world.bodies()] == ["You will get no more texts from Te"]
    assert len(calls(world, TaskKind.STOPPED)) == 1
    world.close()


@pytest.mark.parametrize("words", ["I do not want this now", "Don't stop", "A1 but only half"])
def test_a_text_waits_for_a_person_even_when_it_is_claimed_already(
    tmp_path: Path, words: str
) -> None:
    """R5: what may be a refusal, or is about that very dose, holds the text until it is read."""
    world = World(folder=tmp_path)
    enrol(world)
    said: list[str] = []

    def say_once(point: str) -> None:
        if point == "after-claim" and not said:
            said.append(words)
            world.gateway.answer(PHONE, words)
            take_in(world)

    world.mark = say_once
    world.tick("2027-03-14T18:00")
    tick_through(world, date(2027, 3, 15), date(2027, 3, 16), hours=("18:00",))

    assert sent_kinds(world) == ["unread"]
    assert [row.text for row in to_read(world)] == [words]
    world.close()


def test_stop_is_confirmed_once_and_only_start_from_that_phone_undoes_it(tmp_path: Path) -> None:
    """R5: at once, for the phone, confirmed once; START from another phone changes nothing."""
    world = World(folder=tmp_path)
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="A", can=2)
    world.text("STOP", at="2027-03-13T23:00")
    at_night = world.bodies()
    world.text("Stop!", at="2027-03-13T23:05")
    world.text("START", number=OTHER_PHONE, at="2027-03-14T09:00")
    tick_through(world, date(2027, 3, 14), date(2027, 4, 2), hours=("18:00",))
    silent = world.bodies()
    world.text("START", at="2027-04-03T09:00")
    world.tick("2027-04-03T18:00")

    assert len(at_night) == 1
    assert silent == at_night
    assert len(world.bodies(OTHER_PHONE)) >= 6
    assert [text[:22] for text in world.bodies()[1:]] == [
        "Test Growers: welcome.",
        "Only if plants are up.",
    ]
    world.close()


def test_stop_from_a_shared_phone_ends_all_and_shows_who_else_depended_on_it(
    tmp_path: Path,
) -> None:
    """R5: the coordinator is told which phone stopped; every household on it gets calls."""
    world = World(folder=tmp_path)
    first = enrol(world)
    second = enrol(world, code="H02", letter="D", can=2)
    world.text("STOP", at="2027-04-03T12:00")
    tick_through(world, date(2027, 4, 3), date(2027, 4, 4), hours=("06:00", "18:00"))

    assert sent_kinds(world) == ["stop_ok"]
    assert [task.phone_id for task in calls(world, TaskKind.STOPPED)] == [first.phone_id]
    assert {task.household_id for task in calls(world, TaskKind.BY_CALL)} == {
        first.household_id,
        second.household_id,
    }
    world.close()


@pytest.mark.parametrize("days_ago", [0, 1, 2, 6])
def test_a_dose_may_be_told_up_to_six_days_late(tmp_path: Path, days_ago: int) -> None:
    """R7: `A3 2` is two days ago; up to 6 days back is taken."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-04-03T18:00")
    told_on = add_days(date(2027, 4, 4), days_ago)
    world.text(f"A3 {days_ago}", at=f"{told_on.isoformat()}T12:00")

    assert [fact.on for fact in facts(world, enrolled, FactKind.APPLIED)] == [date(2027, 4, 4)]
    assert to_read(world) == []
    world.close()


@pytest.mark.parametrize(
    ("text", "on"),
    [
        pytest.param("A3 9", "2027-04-13", id="nine days ago, the dose's own day"),
        pytest.param("A3 7", "2027-04-11", id="seven days ago, the dose's own day"),
        pytest.param("A3 2", "2027-03-15", id="on the planting day"),
        pytest.param("A1 2", "2027-03-15", id="before the planting day"),
        pytest.param("A3 6", "2027-04-06", id="before the dose before it"),
    ],
)
def test_a_dose_told_for_a_day_it_cannot_have_had_is_read_by_a_person(
    tmp_path: Path, text: str, on: str
) -> None:
    """R7: `A3 9` -> inbox; `A3 2` on the planting day -> inbox; never before the dose before."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-03-13T18:00")
    if on > "2027-04-01":
        world.text("A2", at="2027-04-01T12:00")
    world.text(text, at=f"{on}T12:00")
    given = [fact.dose_number for fact in facts(world, enrolled, FactKind.APPLIED)]

    assert [row.text for row in to_read(world)] == [text]
    assert given == ([2] if on > "2027-04-01" else [])
    assert sent_kinds(world)[-1] == "unread"
    world.close()


def test_the_same_text_twenty_times_is_one_record_and_at_most_five_answers(
    tmp_path: Path,
) -> None:
    """R8: 20 x `A3` in an hour -> 1 record, <= 5 answers of <= 1 segment, then silence."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.text("A UP", at="2027-03-21T12:00")
    world.tick("2027-04-03T18:00")
    before = len(world.bodies())
    for minute in range(0, 60, 3):
        world.text("A3", at=f"2027-04-04T12:{minute:02d}")
    answers = world.gateway.texts()[before:]
    late = [text for text in answers if text.at.astimezone(world.now.tzinfo).minute >= 30]

    assert len(facts(world, enrolled, *FactKind)) == 2  # up, and the dose
    assert 1 <= len(answers) <= 5
    assert {text.segments for text in answers} == {1}
    assert "Next dose on plot A is about Sun 11 Apr" in answers[0].text
    assert late == []
    world.close()


def test_different_texts_get_at_most_five_answers_a_day_and_are_all_recorded(
    tmp_path: Path,
) -> None:
    """R8: the limit silences answers, never the record; the next day answers go again."""
    world = World(folder=tmp_path)
    first = enrol(world)
    planted = [
        first,
        *(another_plot(world, first, letter=letter) for letter in ("D", "G", "J", "M", "P", "T")),
    ]
    world.tick("2027-04-04T06:00")
    for hour, letter in enumerate("ADGJMPT", start=8):
        world.text(f"{letter}3", at=f"2027-04-04T{hour:02d}:00")
    answered = len(world.bodies())
    world.text("A3", at="2027-04-05T09:00")

    assert answered == 5
    assert {dose(world, enrolled, 3).state for enrolled in planted} == {DoseState.DONE}
    assert sent_kinds(world)[-1] == "r_again"
    world.close()


def test_help_is_answered_once_a_day(tmp_path: Path) -> None:
    """R8: one help a day."""
    world = World(folder=tmp_path)
    enrol(world)
    world.text("HELP", at="2027-03-10T09:00")
    world.text("help", at="2027-03-10T15:00")
    once = sent_kinds(world)
    world.text("HELP", at="2027-03-11T09:30")

    assert once == ["help"]
    assert sent_kinds(world) == ["help", "help"]
    world.close()


def test_a_number_nobody_knows_cannot_report_a_dose(tmp_path: Path) -> None:
    """R12: unknown number sends `A3` -> inbox, no dose, no answer naming anything."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-04-03T18:00")
    world.text("A3", number=STRANGER, at="2027-04-04T12:00")

    assert [(row.sender, row.text, row.phone_id) for row in to_read(world)] == [
        (STRANGER, "A3", None)
    ]
    assert facts(world, enrolled, *FactKind) == []
    assert world.bodies(STRANGER) == []
    world.close()


def test_a_phone_of_another_household_cannot_report_the_dose(tmp_path: Path) -> None:
    """R12: a neighbour's enrolled phone has its own letters; `A3` from it settles nothing here."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    neighbour = enrol(world, code="H02", number=OTHER_PHONE, letter="D", can=2)
    world.tick("2027-04-03T18:00")
    world.text("A3", number=OTHER_PHONE, at="2027-04-04T12:00")

    assert [row.hint for row in to_read(world)] == ["letter"]
    assert [*facts(world, enrolled, *FactKind), *facts(world, neighbour, *FactKind)] == []
    assert "A3" not in world.bodies(OTHER_PHONE)[-1].replace("e.g. A3, or A3 NO", "")
    world.close()


def test_another_phone_of_the_household_may_report_the_dose(tmp_path: Path) -> None:
    """R12: accepted if that phone belongs to the household."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    another_phone(world, enrolled, number=OTHER_PHONE)
    world.tick("2027-04-03T18:00")
    world.text("A3", number=OTHER_PHONE, at="2027-04-04T12:00")

    assert dose(world, enrolled, 3).state is DoseState.DONE
    assert "A3 done Sun 4 Apr" in world.bodies(OTHER_PHONE)[-1]
    world.close()
