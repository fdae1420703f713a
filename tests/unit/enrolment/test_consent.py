"""What was said face to face about texts."""

from dataclasses import replace
from datetime import date

import pytest

from service.enrolment.consent import check_consent
from service.enrolment.entries import ConsentEntry, Enrolment, Said
from service.enrolment.faults import Faults
from service.enrolment.missing import Missing
from service.enrolment.results import ConsentRecorded, ConsentRefused
from service.enrolment.steps import add_consent
from service.records.people import AuditRow, Consent, ConsentEventRow
from tests.unit.enrolment.table import ALONE, OWN_PHONE, TODAY, YES, at_table, enrolled
from tests.world import World
from tests.world_looks import rows


@pytest.mark.parametrize(
    ("changes", "refused"),
    [
        ({}, []),
        ({"asked_on": date(2020, 1, 1)}, []),
        ({"asked_on": date(2019, 12, 31)}, [("asked_on", "too-early")]),
        ({"asked_on": date(2027, 2, 21)}, [("asked_on", "not-yet")]),
        ({"asked_by": "  "}, [("asked_by", "needed")]),
        ({"asked_by": "x" * 61}, [("asked_by", "too-long")]),
        ({"wording": ""}, [("wording", "needed")]),
        ({"wording": "x" * 401}, [("wording", "too-long")]),
        ({"wording": "May we?\nEvery evening?"}, []),
        ({"said": Said.NO, "wording": "", "asked_by": ""}, []),
    ],
    ids=[
        "whole",
        "first day taken",
        "day before",
        "tomorrow",
        "nobody asked",
        "long name",
        "no words",
        "long words",
        "two lines",
        "a no",
    ],
)
def test_a_yes_needs_its_day_its_asker_and_its_words(
    changes: dict[str, object], refused: list[tuple[str, str]]
) -> None:
    entry = replace(YES, **changes)  # type: ignore[arg-type]  # -- each row names its own fields
    found = check_consent(entry, today=TODAY)

    assert [(fault.field, fault.code.value) for fault in found] == refused


def said(world: World, entry: ConsentEntry) -> object:
    return at_table(world, lambda desk: add_consent(desk, 1, 1, entry))


def test_a_yes_is_kept_once_for_phone_household_and_day(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE, phone=OWN_PHONE))
    outcomes = [said(world, YES) for _ in range(2)]
    [row] = rows(world, ConsentEventRow)

    assert outcomes == [ConsentRecorded(on=TODAY)] * 2
    assert (row.kind, row.household_id, row.phone_id) == (Consent.VERBAL, 1, 1)
    assert row.key == "verbal:1:1:2027-02-20"
    assert (row.asked_by, row.wording) == (YES.asked_by, YES.wording)


def test_what_was_said_is_never_rewritten(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE, phone=OWN_PHONE, consent=YES))
    outcome = said(world, replace(YES, wording="Other words"))

    assert isinstance(outcome, Faults)
    assert [fault.code.value for fault in outcome.faults] == ["other-words"]
    assert [row.wording for row in rows(world, ConsentEventRow)] == [YES.wording]


def test_a_no_leaves_an_audit_row_and_no_text_follows(world: World) -> None:
    no = replace(YES, said=Said.NO)
    outcome = enrolled(world, Enrolment(household=ALONE, phone=OWN_PHONE, consent=no))
    world.tick("2027-03-13T09:00")

    assert outcome.consent == ConsentRefused()
    assert Missing.CONSENT in outcome.missing
    assert rows(world, ConsentEventRow) == []
    assert "consent refused" in [row.what for row in rows(world, AuditRow)]
    assert world.bodies() == []
