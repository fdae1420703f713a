"""A household taken in at once: what is told is checked as a whole, then saved as a whole."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.enrolment.entries import Enrolment, HouseholdEntry
from service.enrolment.ground import SquareMetres
from service.enrolment.missing import Missing
from service.enrolment.results import ConsentRecorded
from service.records.fields import ContainerEventRow, DoseRow, PlantingRow, PlotRow, Source
from service.records.people import AuditRow, HouseholdRow
from tests.unit.enrolment.table import (
    ALONE,
    CAN,
    MAIZE,
    OWN_PHONE,
    PLOT,
    YES,
    enrolled,
    refused,
    whole_household,
)
from tests.world import World
from tests.world_facts import other_association
from tests.world_looks import rows


def test_an_alias_and_an_area_are_enough(world: World) -> None:
    """E1: save with two fields only -> what is still missing is told, nothing is refused."""
    outcome = enrolled(world, Enrolment(household=ALONE))

    assert (outcome.code, outcome.label) == ("001", "Mango co")
    assert outcome.missing == (
        Missing.PHONE,
        Missing.CONSENT,
        Missing.PLOT,
        Missing.PLANTING,
        Missing.CAN,
        Missing.EATERS,
    )


def test_blanks_of_a_household_become_what_is_usual_and_safe(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE))
    [row] = rows(world, HouseholdRow)

    assert row.regime is Regime.SOLD_ANY
    assert (row.language, row.word, row.remind_minute, row.cup_ml) == ("en", None, 18 * 60, 250)
    assert (row.adults, row.children, row.discreet, row.needs_call) == (0, 0, False, False)


def test_a_whole_household_has_its_plan_at_once_and_lacks_only_the_phone_s_answer(
    world: World,
) -> None:
    outcome = enrolled(world, whole_household())

    assert outcome.plot is not None
    assert outcome.planting is not None
    assert (outcome.plot.code, outcome.plot.letter) == ("P1", "A")
    assert outcome.planting.code == "S1"
    assert outcome.consent == ConsentRecorded(on=YES.asked_on)
    assert [row.due_on for row in rows(world, DoseRow)][:2] == [
        date(2027, 3, 15),
        date(2027, 3, 28),  # 15 March + 6 days to come up + 7
    ]
    assert outcome.missing == (Missing.START,)


def test_the_first_reminder_follows_the_phone_s_own_yes(world: World) -> None:
    """E2: recorded yes -> one invitation -> YES from the phone -> the evening before the dose."""
    enrolled(world, whole_household())
    world.tick("2027-03-13T09:00")
    invited = len(world.bodies())
    world.text("YES", at="2027-03-13T12:00")
    world.tick("2027-03-14T18:00")

    assert invited == 1
    assert world.bodies()[-1].startswith("Mon 15 Mar: maize, plot A.")


def test_all_that_is_wrong_comes_back_together_and_nothing_is_saved(world: World) -> None:
    entry = Enrolment(
        household=HouseholdEntry(
            alias=" ",
            area_id=9,
            code="a b",
            label="小屋",
            adults=41,
            language="xx",
            word="tea",
            remind_minute=16 * 60,
        ),
        phone=replace(OWN_PHONE, number="123"),
        consent=replace(YES, asked_by="", asked_on=date(2027, 2, 21)),
        plot=replace(PLOT, ground=SquareMetres(area_m2=0), water_m=-1),
        planting=replace(MAIZE, crop="cowpea"),
        can=replace(CAN, litres=201),
    )

    assert refused(world, entry) == [
        ("alias", "needed"),
        ("area_id", "no-such-area"),
        ("code", "code-letters"),
        ("label", "label-letters"),
        ("adults", "out-of-range"),
        ("language", "language"),
        ("word", "word-swallowed"),
        ("remind_minute", "time-range"),
        ("number", "phone-short-code"),
        ("asked_on", "not-yet"),
        ("asked_by", "needed"),
        ("area_m2", "area"),
        ("water_m", "out-of-range"),
        ("crop", "legume"),
        ("litres", "out-of-range"),
    ]
    assert rows(world, HouseholdRow) == []
    assert rows(world, AuditRow) == []


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"alias": "x" * 61}, ("alias", "too-long")),
        ({"alias": "a\tb"}, ("alias", "one-line")),
        ({"code": "x" * 17}, ("code", "too-long")),
        ({"label": "Mango tre"}, ("label", "label-long")),
        ({"label": "a\nb"}, ("label", "label-letters")),
        ({"remind_minute": 20 * 60}, ("remind_minute", "time-range")),
        ({"cup_ml": 49}, ("cup_ml", "out-of-range")),
    ],
    ids=["long alias", "tab", "long code", "long label", "two lines", "at night", "a sip"],
)
def test_a_household_s_field_has_its_limits(
    world: World, changes: dict[str, object], fault: tuple[str, str]
) -> None:
    household = replace(ALONE, **changes)  # type: ignore[arg-type]  # -- each row names its own

    assert refused(world, Enrolment(household=household)) == [fault]


def test_what_needs_something_else_says_so(world: World) -> None:
    entry = Enrolment(household=ALONE, consent=YES, planting=MAIZE)

    assert refused(world, entry) == [("number", "needs-phone"), ("ground", "needs-plot")]


def test_a_code_stands_once_and_the_next_goes_on_from_the_highest(world: World) -> None:
    enrolled(world, Enrolment(household=replace(ALONE, code="017")))

    assert refused(world, Enrolment(household=replace(ALONE, code="017"))) == [
        ("code", "code-taken")
    ]
    assert enrolled(world, Enrolment(household=ALONE)).code == "018"


def test_an_area_of_another_association_is_none_here(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE))
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))

    assert refused(world, Enrolment(household=replace(ALONE, area_id=2))) == [
        ("area_id", "no-such-area")
    ]


def test_a_word_of_its_own_is_kept_as_every_phone_shows_it(world: World) -> None:
    """E12: the household's own word for the liquid, folded to plain letters."""
    enrolled(world, Enrolment(household=replace(ALONE, word=" golõ ", discreet=True)))
    [row] = rows(world, HouseholdRow)

    assert (row.word, row.discreet) == ("golo", True)


def test_what_was_told_is_written_down_with_who_told_it(world: World) -> None:
    enrolled(
        world,
        replace(
            whole_household(),
            planting=replace(MAIZE, planted_on=date(2027, 2, 1), emerged_on=date(2027, 2, 8)),
        ),
    )
    [plot], [planting] = rows(world, PlotRow), rows(world, PlantingRow)
    events = rows(world, ContainerEventRow)

    assert (plot.measured, plot.area_m2) == ("", 100)
    assert planting.closed_on is None
    assert [(event.kind, event.on) for event in events] == [
        (CanEventKind.OPENED, date(2026, 12, 1)),
        (CanEventKind.SEALED, date(2027, 1, 10)),
    ]
    assert {(event.source, event.noted_by) for event in events} == {(Source.FORM, "asha")}


def test_the_audit_names_what_was_added_and_holds_no_name_number_or_text(world: World) -> None:
    enrolled(world, whole_household())
    written = rows(world, AuditRow)

    assert [(row.who, row.what, row.subject) for row in written] == [
        ("asha", "enrolled", "household"),
        ("asha", "enrolled", "phone"),
        ("asha", "consent recorded", "household"),
        ("asha", "enrolled", "plot"),
        ("asha", "enrolled", "container"),
        ("asha", "enrolled", "planting"),
    ]
    assert {type(value) for row in written for value in row.detail.values()} == {int}
