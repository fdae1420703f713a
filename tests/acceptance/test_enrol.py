"""Who may be texted: consent before the first text, and phones that households share."""

from datetime import date
from pathlib import Path

import pytest

from service.records.fields import DoseState, FactKind
from service.records.people import Consent
from service.records.traffic import TaskKind
from tests.world import OTHER_PHONE, PHONE, World, enrol, tick_through
from tests.world_facts import another_plot, consent_said
from tests.world_looks import calls, dose_states, facts, sent_kinds, to_read

HOURS = ("06:00", "18:00", "19:55")
SEASON = (date(2027, 3, 15), date(2027, 6, 20))


def test_without_consent_nothing_is_sent_and_without_an_answer_only_the_invitation(
    tmp_path: Path,
) -> None:
    """E2: 0 texts without a spoken yes; then 1 invitation; silence never gets a dose text."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, consent=None)
    world.tick("2027-03-14T18:00")
    before = world.gateway.texts()
    consent_said(world, enrolled, Consent.VERBAL)
    world.tick("2027-03-14T18:01")
    invited = world.bodies()
    tick_through(world, *SEASON, hours=HOURS)

    assert before == []
    assert len(invited) == 1
    assert invited[0].startswith("Test Growers: you asked for field reminders by SMS")
    assert world.bodies() == invited
    assert {task.kind for task in calls(world)} == {TaskKind.BY_CALL, TaskKind.EMERGENCE}
    world.close()


@pytest.mark.parametrize("answer", ["START", "YES", "Yes!", "start."])
def test_reminders_begin_with_the_phone_s_own_yes(tmp_path: Path, answer: str) -> None:
    """E2: reply START to the invitation -> reminders begin, the evening before the dose."""
    world = World(folder=tmp_path)
    enrol(world, consent=Consent.VERBAL)
    world.tick("2027-03-13T09:00")
    world.text(answer, at="2027-03-13T12:00")
    world.tick("2027-03-14T17:59")
    before = len(world.bodies())
    world.tick("2027-03-14T18:00")

    assert sent_kinds(world) == ["consent", "welcome", "dose_rain"]
    assert before == 2
    assert world.bodies()[2].startswith("Mon 15 Mar: maize, plot A.")
    world.close()


def test_a_yes_to_the_invitation_reports_no_dose_even_on_the_dose_s_own_day(
    tmp_path: Path,
) -> None:
    """E2: the phone was asked for its consent and never told of a dose, so YES is consent."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, consent=Consent.VERBAL)
    world.tick("2027-03-15T09:00")
    world.text("YES", at="2027-03-15T12:00")

    assert sent_kinds(world) == ["consent", "welcome"]
    assert facts(world, enrolled, FactKind.APPLIED) == []
    world.close()


def test_a_yes_that_nobody_asked_for_aloud_is_read_by_a_person(tmp_path: Path) -> None:
    """E2: START from an enrolled phone without a spoken yes on record starts nothing."""
    world = World(folder=tmp_path)
    enrol(world, consent=None)
    world.text("START", at="2027-03-13T12:00")
    world.tick("2027-03-14T18:00")

    assert [row.hint for row in to_read(world)] == ["no spoken yes on record"]
    assert sent_kinds(world) == ["unread"]
    world.close()


def test_an_invitation_waits_for_the_morning(tmp_path: Path) -> None:
    """E2: the invitation goes at the next step between 06:00 and 20:00, never at night."""
    world = World(folder=tmp_path)
    enrol(world, consent=Consent.VERBAL)
    held = []
    for at in ("2027-03-12T20:00", "2027-03-12T23:30", "2027-03-13T05:59"):
        world.tick(at)
        held += world.bodies()
    world.tick("2027-03-13T06:00")

    assert held == []
    assert len(world.bodies()) == 1
    world.close()


def test_two_households_on_one_phone_get_one_text_and_each_key_is_its_own(tmp_path: Path) -> None:
    """E4: two households, one number, 3 doses tomorrow -> 1 text, <= 2 segments, all keys in it.

    `A3` settles only plot A, and neither crop nor substance is named to whoever reads along.
    """
    world = World(folder=tmp_path)
    first = enrol(world, code="H01", letter="A")
    second = another_plot(world, first, letter="D")
    third = enrol(world, code="H02", letter="G", can=2)
    world.tick("2027-04-03T18:00")
    sent = world.gateway.texts()
    world.text("A3", at="2027-04-04T12:00")
    told = world.bodies()[1:]

    assert [text.to for text in sent] == [PHONE]
    assert sent[0].segments <= 2
    assert all(key in sent[0].text for key in ("A3", "D3", "G3"))
    assert "H01: A3" in sent[0].text
    assert "H02: G3" in sent[0].text
    assert dose_states(world, [first, second, third], 3) == [
        DoseState.DONE,
        DoseState.PLANNED,
        DoseState.PLANNED,
    ]
    assert facts(world, third, FactKind.APPLIED) == []
    assert [text[:32] for text in told] == ["Noted, thank you: A3 done Sun 4 "]
    assert not [text for text in world.bodies() if "maize" in text or "urine" in text]
    world.close()


def test_a_single_dose_on_a_shared_phone_names_plot_and_key_but_not_the_crop(
    tmp_path: Path,
) -> None:
    """E4: each text says which plot, and no crop or substance (the shared variant)."""
    world = World(folder=tmp_path)
    enrol(world, code="H01", letter="A")
    enrol(world, code="H02", letter="D", can=2, planted_on=date(2027, 4, 20))
    world.text("A UP", at="2027-03-21T12:00")
    world.tick("2027-04-03T18:00")

    assert sent_kinds(world) == ["r_up", "dose_rain"]
    assert world.bodies()[1].startswith("Sun 4 Apr: plot A. 21.5 L from the can")
    assert world.bodies()[1].endswith("Done? Reply A3")
    assert not [text for text in world.bodies() if "maize" in text or "urine" in text]
    world.close()


def test_a_household_added_to_a_phone_later_waits_for_a_yes_of_its_own(tmp_path: Path) -> None:
    """E4 E2: consent is per phone and household; the newcomer's doses are not in the text."""
    world = World(folder=tmp_path)
    enrol(world, code="H01", letter="A")
    newcomer = enrol(world, code="H02", letter="D", can=2, consent=None)
    world.tick("2027-03-14T18:00")
    alone = world.bodies()
    world.now = world.now.replace(day=15, hour=10)
    consent_said(world, newcomer, Consent.VERBAL)
    world.tick("2027-03-15T10:00")
    world.text("START", at="2027-03-15T10:05")
    tick_through(world, date(2027, 3, 16), date(2027, 4, 3), hours=HOURS)

    assert len(alone) == 1
    assert "D1" not in alone[0]
    assert sent_kinds(world).count("consent") == 1
    assert "D3" in world.bodies()[-1]
    assert world.bodies(OTHER_PHONE) == []
    world.close()
