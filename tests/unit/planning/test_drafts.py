"""From a planned text to its row: whose words, which language, when it may leave."""

from datetime import UTC, date, datetime

import pytest

from service.messages.filling import Wording
from service.planning.drafts import invitation, language_of, reader_of, voice_fields
from service.planning.send_window import zone_of
from service.records.people import (
    AssociationRow,
    Consent,
    ConsentEventRow,
    HouseholdRow,
    PhoneRow,
)
from service.records.phones import PhoneBundle
from service.records.traffic import MessageRow
from tests.world import OTHER_PHONE, World, enrol
from tests.world_facts import another_can, another_plot, consent_said
from tests.world_looks import messages

ROW = AssociationRow(id=1, name="Test Growers", zone="Africa/Dar_es_Salaam", cost="free")
MAMA = HouseholdRow(id=1, language="en", discreet=True, word="green mix")
BABA = HouseholdRow(id=2, language="en", discreet=False, word=None)
ASKED = ConsentEventRow(id=5, kind=Consent.VERBAL, household_id=1)


def a_phone(*households: HouseholdRow, consents: tuple[ConsentEventRow, ...] = ()) -> PhoneBundle:
    return PhoneBundle(
        phone=PhoneRow(id=7, language="sw"), households=households, consents=consents
    )


def local(clock: str) -> datetime:
    return datetime.fromisoformat(clock).replace(tzinfo=zone_of(ROW.zone)).astimezone(UTC)


def only(world: World, *kinds: str) -> MessageRow:
    (row,) = messages(world, *kinds)
    return row


def test_a_phone_of_one_home_speaks_that_homes_language_and_words() -> None:
    phone = a_phone(MAMA)

    assert language_of(phone) == "en"
    assert voice_fields(phone) == {"shared": False, "discreet": True, "what": "green mix"}


def test_a_shared_phone_has_a_language_of_its_own_and_no_homes_words() -> None:
    phone = a_phone(MAMA, BABA)

    assert language_of(phone) == "sw"
    assert voice_fields(phone) == {"shared": True, "discreet": False, "what": None}


def test_a_text_about_one_home_on_a_shared_phone_keeps_that_homes_wish() -> None:
    phone = a_phone(BABA, MAMA)

    assert voice_fields(phone, 1) == {"shared": True, "discreet": True, "what": "green mix"}
    assert voice_fields(phone, 99) == {"shared": True, "discreet": False, "what": None}


@pytest.mark.parametrize(
    ("fields", "wording"),
    [
        ({}, Wording(shared=False, discreet=False, what=None)),
        (
            {"shared": True, "discreet": True, "what": "green mix"},
            Wording(shared=True, discreet=True, what="green mix"),
        ),
        (
            {"shared": "yes", "discreet": 1, "what": 3},
            Wording(shared=False, discreet=False, what=None),
        ),
    ],
    ids=["nothing said", "all said", "nonsense is not believed"],
)
def test_a_rows_fields_say_whom_a_text_is_for(fields: dict[str, object], wording: Wording) -> None:
    reader = reader_of("sw", "en", fields=fields)

    assert (reader.language, reader.fallback, reader.wording) == ("sw", "en", wording)


@pytest.mark.parametrize(
    ("now", "day"),
    [
        pytest.param("2027-03-14T10:00", date(2027, 3, 14), id="by day: today"),
        pytest.param("2027-03-14T03:00", date(2027, 3, 14), id="before six: this morning"),
        pytest.param("2027-03-14T20:00", date(2027, 3, 15), id="at night: tomorrow"),
    ],
)
def test_an_invitation_waits_for_the_day(now: str, day: date) -> None:
    phone = a_phone(MAMA, consents=(ASKED,))

    text = invitation(phone, ROW, now=local(now), used=frozenset(), said=set())

    assert text is not None
    assert (text.kind, text.key, text.evening) == ("consent", "consent:7:5", day)
    assert text.fields == {"group": "Test Growers", "cost": "free"}


def test_an_invitation_goes_once_and_only_on_a_free_day() -> None:
    phone, now = a_phone(MAMA, consents=(ASKED,)), local("2027-03-14T10:00")

    said = invitation(phone, ROW, now=now, used=frozenset(), said={"consent:7:5"})
    used = invitation(phone, ROW, now=now, used=frozenset({(7, date(2027, 3, 14))}), said=set())
    unasked = invitation(a_phone(MAMA), ROW, now=now, used=frozenset(), said=set())

    assert (said, used, unasked) == (None, None, None)


@pytest.mark.parametrize(
    ("at", "due_at"),
    [("2027-03-01T11:00", "2027-03-01T11:00"), ("2027-03-01T21:00", "2027-03-02T06:00")],
    ids=["by day at once", "at night from six"],
)
def test_an_invitation_leaves_at_the_next_step_of_the_day(
    world: World, at: str, due_at: str
) -> None:
    enrol(world, consent=Consent.VERBAL)

    world.tick(at)

    row = only(world, "consent")
    assert row.due_at == local(due_at)
    assert row.expires_at == local(f"{due_at[:10]}T20:00")
    assert (row.state == "delivered") is (at == due_at)


def test_a_reminder_may_leave_from_the_homes_minute_to_eight(world: World) -> None:
    enrol(world)
    world.tick("2027-03-13T19:00")

    row = only(world, "dose")

    assert (row.due_at, row.expires_at) == (local("2027-03-14T18:00"), local("2027-03-14T20:00"))
    assert (row.evening, row.dedupe_key) == (date(2027, 3, 14), "jobs:1:2027-03-14:1.1")


def test_a_shared_phone_is_texted_at_its_earliest_homes_minute(world: World) -> None:
    enrol(world)
    second = enrol(world, code="H02", letter="D")
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, second.household_id).remind_minute = 17 * 60
    world.tick("2027-03-13T19:00")

    assert only(world, "digest").due_at == local("2027-03-14T17:00")


def test_a_reminder_carries_all_that_its_words_need(world: World) -> None:
    """21 L over 100 m² of maize in cups of 250 mL: the text says 1 cup for 10 plants."""
    enrol(world)
    world.tick("2027-03-13T19:00")

    row = only(world, "dose")

    assert row.fields["values"] == {
        "crop": "maize-grain",
        "plot": "A",
        "urine": 21,
        "water": 0,
        "code": "A1",
        "can": None,
        "day": "2027-03-15",
        "per": {"cups": 1, "plants": 10},
        "tip": 1,
    }


def test_a_repeat_names_its_number_and_a_person_to_ask(world: World) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-16T17:00")

    values = only(world, "repeat").fields["values"]

    assert (values["k"], values["phone"], values["code"]) == (1, "+255100000090", "A1")
    assert "day" not in values


def test_a_digest_lists_each_dose_and_names_a_can_only_where_all_use_one(world: World) -> None:
    enrolled = enrol(world)
    another_plot(world, enrolled, letter="D")
    another_can(world, enrolled, number=2, sealed_on=date(2027, 1, 20))
    world.tick("2027-03-13T19:00")

    values = only(world, "digest").fields["values"]

    assert [job["code"] for job in values["jobs"]] == ["A1", "D1"]
    assert [job["label"] for job in values["jobs"]] == [None, None]
    assert (values["day"], values["can"]) == ("2027-03-15", [1])


def test_on_a_shared_phone_each_line_names_the_home(world: World) -> None:
    enrol(world)
    enrol(world, code="H02", letter="D", water_ratio=2)
    world.tick("2027-03-13T19:00")

    jobs = only(world, "digest").fields["values"]["jobs"]

    assert [(job["label"], job["code"], job["water"]) for job in jobs] == [
        ("H01", "A1", 0),
        ("H02", "D1", 42),
    ]


def test_a_notice_carries_its_own_values_and_not_our_ids(world: World) -> None:
    enrol(world)
    world.tick("2027-03-21T10:00")

    assert only(world, "emerge_q").fields["values"] == {"plot": "A", "crop": "maize-grain"}


def test_the_home_added_later_is_invited_on_its_own(world: World) -> None:
    first = enrol(world)
    world.tick("2027-02-20T10:00")
    second = enrol(world, code="H02", letter="D", consent=None)
    other = enrol(world, code="H03", number=OTHER_PHONE)
    world.tick("2027-02-21T10:00")
    before = messages(world, "consent")

    consent_said(world, second, Consent.VERBAL)
    world.tick("2027-02-22T10:00")

    assert (first.phone_id, before) == (second.phone_id, [])
    assert [row.phone_id for row in messages(world, "consent")] == [first.phone_id]
    assert other.phone_id != first.phone_id
