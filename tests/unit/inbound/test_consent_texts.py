"""Only the phone itself starts and stops its texts; a spoken yes comes first."""

from datetime import date

import pytest

from service.records.people import Consent, ConsentEventRow
from service.records.traffic import InboundRow, TaskKind
from tests.world import PHONE, World, enrol
from tests.world_facts import consent_said
from tests.world_looks import calls, messages, rows

STRANGER = "+255100000077"


def said(world: World) -> list[Consent]:
    return [row.kind for row in rows(world, ConsentEventRow)]


def kinds(world: World, number: str = PHONE) -> list[str]:
    return [row.kind for row in messages(world) if row.number == number]


@pytest.mark.parametrize("word", ["YES", "START", "yes please"])
def test_a_yes_to_the_invitation_starts_the_texts(world: World, word: str) -> None:
    enrol(world, consent=Consent.VERBAL)
    world.tick("2027-02-20T10:00")

    world.text(word, at="2027-02-20T11:00")

    assert said(world) == [Consent.VERBAL, Consent.GIVEN]
    assert kinds(world) == ["consent", "welcome"]
    (row,) = messages(world, "welcome")
    assert row.fields["values"]["plots"] == [{"plot": "A", "crop": "maize-grain"}]


def test_a_no_to_the_invitation_starts_nothing_and_is_not_asked_again(world: World) -> None:
    enrol(world, consent=Consent.VERBAL)
    world.tick("2027-02-20T10:00")

    world.text("NO", at="2027-02-20T11:00")
    world.tick("2027-02-25T10:00")
    world.tick("2027-03-14T18:00")

    assert kinds(world) == ["consent"]
    assert Consent.GIVEN not in said(world)


def test_a_start_that_nobody_asked_for_is_read_by_a_person(world: World) -> None:
    enrol(world, consent=None)

    world.text("START", at="2027-02-20T11:00")

    (kept,) = rows(world, InboundRow)
    assert (kept.to_read, kept.hint) == (True, "no spoken yes on record")
    assert (said(world), kinds(world)) == ([], ["unread"])


def test_start_twice_is_one_consent(world: World) -> None:
    enrol(world)
    before = said(world)

    world.text("START", at="2027-02-20T11:00")

    assert said(world) == before == [Consent.VERBAL, Consent.GIVEN]


def test_a_phone_without_a_plot_is_started_and_not_welcomed_by_plots(world: World) -> None:
    enrol(world, consent=Consent.VERBAL, letter=None)
    world.tick("2027-02-20T10:00")

    world.text("START", at="2027-02-20T11:00")

    assert said(world) == [Consent.VERBAL, Consent.GIVEN]
    assert "welcome" not in kinds(world)


def test_stop_ends_all_that_waits_is_confirmed_once_and_shown(world: World) -> None:
    enrol(world)
    world.tick("2027-03-13T20:30")

    world.text("STOP", at="2027-03-14T10:00")
    world.text("stop", at="2027-03-14T10:01")
    world.tick("2027-03-14T18:00")

    assert said(world)[-1] is Consent.STOPPED
    assert said(world).count(Consent.STOPPED) == 1
    assert [(row.kind, row.state) for row in messages(world)] == [
        ("dose_rain", "cancelled"),
        ("stop_ok", "delivered"),
    ]
    assert len(calls(world, TaskKind.STOPPED)) == 1


def test_after_a_stop_only_the_phone_itself_can_start_again(world: World) -> None:
    enrolled = enrol(world)
    world.text("STOP", at="2027-03-10T10:00")
    consent_said(world, enrolled, Consent.VERBAL)
    world.tick("2027-03-14T18:00")
    after_the_coordinator = [row.kind for row in messages(world, "dose", "consent")]

    world.text("START", at="2027-03-14T18:30")
    world.tick("2027-03-14T18:31")

    assert after_the_coordinator == []
    assert [row.kind for row in messages(world, "dose")] == ["dose_rain"]


def test_a_report_after_a_stop_is_recorded_and_answered(world: World) -> None:
    """Answers follow the grower's own text; STOP ends what the service starts."""
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("STOP", at="2027-03-14T19:00")

    world.text("A1", at="2027-03-15T12:00")

    assert kinds(world)[-1] == "r_done"


def test_an_unknown_number_that_asks_to_join_opens_one_request_without_its_number(
    world: World,
) -> None:
    enrol(world)

    world.text("JOIN", number=STRANGER, at="2027-03-14T10:00")
    world.text("join", number=STRANGER, at="2027-03-14T12:00")

    (task,) = calls(world, TaskKind.ENROL)
    assert STRANGER[1:] not in task.key
    assert kinds(world, STRANGER) == ["join_ok"]
    assert messages(world, "join_ok")[0].fields["values"]["group"] == "Test Growers"


@pytest.mark.parametrize(
    ("text", "read"),
    [("STOP", False), ("A1 done", True), ("who are you", True)],
)
def test_what_else_a_stranger_writes_is_read_or_let_be(
    world: World, text: str, *, read: bool
) -> None:
    enrol(world)

    world.text(text, number=STRANGER, at="2027-03-14T10:00")

    (kept,) = rows(world, InboundRow)
    assert (kept.to_read, kinds(world, STRANGER)) == (read, [])


def test_consent_is_dated_by_the_farm_day(world: World) -> None:
    """Half past one at night in East Africa is still the day before in UTC."""
    enrol(world, consent=Consent.VERBAL)
    world.tick("2027-02-20T10:00")

    world.text("YES", at="2027-02-21T01:30")

    assert rows(world, ConsentEventRow)[-1].on == date(2027, 2, 21)
