"""A folder goes in once; a changed cell changes its row; facts are appended; nothing goes."""

from datetime import date
from pathlib import Path

import pytest

from service.agronomy.containers import CanEventKind
from service.intake.faults import IntakeError
from service.intake.folder import read_folder
from service.intake.load import MANY_HOUSEHOLDS, Visit, load_folder
from service.intake.store import IntakeResult
from service.records.engine import Session, Sessions
from service.records.fields import (
    ContainerEventRow,
    FactKind,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.people import (
    AuditRow,
    Consent,
    ConsentEventRow,
    HouseholdRow,
    ImportRunRow,
    PhoneRow,
)
from service.records.phones import phones
from service.records.plantings import open_plantings
from tests.unit.intake.folders import (
    LATER,
    NOW,
    RULES,
    add_row,
    places,
    rows_of,
    set_cell,
    store,
    table_sizes,
)

ROWS = 19  # of all eight files


def took_in(sessions: Sessions, folder: Path) -> IntakeResult:
    return store(sessions, read_folder(folder, RULES))


def test_a_new_folder_is_added_row_by_row(sessions: Sessions, folder: Path) -> None:
    result = took_in(sessions, folder)

    assert (result.added, result.changed, result.unchanged) == (ROWS, 0, 0)
    assert result.changed_plantings == (1, 2, 3)
    with sessions.read() as session:
        (run,) = rows_of(session, ImportRunRow)
        assert (run.at, run.added) == (NOW, ROWS)


def test_the_same_folder_twice_changes_nothing(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)
    with sessions.read() as session:
        before = table_sizes(session)

    result = took_in(sessions, folder)

    assert (result.added, result.changed, result.unchanged) == (0, 0, ROWS)
    assert result.changed_plantings == ()
    with sessions.read() as session:
        assert table_sizes(session) == before


def test_cells_become_what_the_tables_hold(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)

    with sessions.read() as session:
        first, second, third = rows_of(session, HouseholdRow)
        assert (first.remind_minute, first.cup_ml, first.word) == (18 * 60, 250, None)
        assert (second.remind_minute, second.cup_ml, second.discreet) == (17 * 60 + 30, 300, True)
        assert (third.regime.value, third.word, third.needs_call) == ("sold-any", "green mix", True)
        wet, dry, _ = rows_of(session, PlantingRow)
        assert (wet.water_ratio, wet.litres_per_m2, wet.transplanted) == (None, None, None)
        assert (dry.water_ratio, dry.litres_per_m2, dry.transplanted) == (3, 1.2, True)
        assert [(row.number, row.typed) for row in rows_of(session, PhoneRow)] == [
            ("+255100000001", "0100 000 001"),
            ("+255100000002", "255100000002"),
        ]


def test_what_is_left_blank_follows_the_rules_of_the_place(
    sessions: Sessions, folder: Path
) -> None:
    set_cell(folder, "plantings.csv", 3, "water_ratio", "")
    set_cell(folder, "plantings.csv", 3, "litres_per_m2", "")

    took_in(sessions, folder)

    with sessions.read() as session:
        plantings = rows_of(session, PlantingRow)
        assert [row.water_ratio for row in plantings] == [None, None, None]
        assert [row.litres_per_m2 for row in plantings] == [None, None, None]
        assert [row.regime for row in plantings] == [None, None, None]


def test_imported_numbers_carry_a_spoken_yes_and_never_their_own(
    sessions: Sessions, folder: Path
) -> None:
    took_in(sessions, folder)

    with sessions.read() as session:
        events = rows_of(session, ConsentEventRow)
        assert {event.kind for event in events} == {Consent.VERBAL}
        assert [event.household_id for event in events] == [1, 2, 3]
        assert not any("255" in event.key for event in events)
        (association_id,) = {event.association_id for event in events}
        assert all(phone.consenting() == frozenset() for phone in phones(session, association_id))


def test_a_household_that_joins_a_phone_later_has_not_been_asked(
    sessions: Sessions, folder: Path
) -> None:
    took_in(sessions, folder)
    set_cell(folder, "phones.csv", 3, "households", "H3;H4")
    home = ("H4", "S", "New Roof", "Roof", "1", "0", "general", "sw", "", "no", "", "no", "")
    add_row(folder, "households.csv", *home)

    result = took_in(sessions, folder)

    assert (result.added, result.changed) == (1, 1)
    with sessions.read() as session:
        assert [event.household_id for event in rows_of(session, ConsentEventRow)] == [1, 2, 3]


def test_what_was_said_about_consent_is_never_rewritten(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)
    set_cell(folder, "consents.csv", 3, "wording", "You will be texted.")

    with pytest.raises(IntakeError) as refused:
        took_in(sessions, folder)

    assert places(refused.value.faults) == [("consents.csv", 3, "wording")]
    with sessions.read() as session:
        assert {event.wording for event in rows_of(session, ConsentEventRow)} == {
            "May we text you?"
        }


@pytest.mark.parametrize(
    ("file", "column", "value", "audited", "plantings"),
    [
        pytest.param("association.csv", "cost", "free", "association", (), id="cost line"),
        pytest.param("association.csv", "store_c", "", "association", (1, 2, 3), id="store"),
        pytest.param("areas.csv", "name", "Far North", "area", (), id="area's name"),
        pytest.param("households.csv", "alias", "Tall Tree", "household", (), id="alias"),
        pytest.param("households.csv", "remind_at", "19:00", "household", (), id="hour"),
        pytest.param("households.csv", "area", "S", "household", (1,), id="area"),
        pytest.param("households.csv", "eats", "sold-any", "household", (1,), id="eaters"),
        pytest.param("phones.csv", "language", "en", "phone", (), id="phone's language"),
        pytest.param("plots.csv", "letter", "G", "plot", (), id="letter"),
        pytest.param("plots.csv", "area_m2", "90", "plot", (1,), id="area of a plot"),
        pytest.param("plots.csv", "soil", "dry", "plot", (1,), id="soil"),
        pytest.param("plantings.csv", "crop", "sorghum", "planting", (1,), id="crop"),
        pytest.param("plantings.csv", "litres_per_m2", "1", "planting", (1,), id="litres"),
        pytest.param("plantings.csv", "planted_on", "2027-03-17", "planting", (1,), id="planting"),
        pytest.param("containers.csv", "longer_rest", "yes", "container", (1,), id="rest"),
        pytest.param("containers.csv", "sealed_on", "2027-01-12", "container", (1,), id="sealed"),
        pytest.param("containers.csv", "emptied_on", "2027-02-20", "container", (1,), id="emptied"),
    ],
)
def test_a_changed_cell_changes_its_row_and_is_written_down_without_its_value(  # noqa: PLR0913, PLR0917 -- a row of the table
    sessions: Sessions,
    folder: Path,
    file: str,
    column: str,
    value: str,
    audited: str,
    plantings: tuple[int, ...],
) -> None:
    took_in(sessions, folder)
    set_cell(folder, file, 2, column, value)

    result = took_in(sessions, folder)
    again = took_in(sessions, folder)

    assert (result.added, result.changed, result.unchanged) == (0, 1, ROWS - 1)
    assert result.changed_plantings == plantings
    assert (again.added, again.changed) == (0, 0)
    with sessions.read() as session:
        (entry,) = rows_of(session, AuditRow)
        assert (entry.subject, entry.subject_id, entry.origin) == (audited, 1, "import")
        assert (entry.who, entry.detail) == ("coordinator", {"columns": [column]})


def test_rows_that_the_folder_no_longer_has_stay(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)
    for file in ("plantings.csv", "containers.csv"):
        lines = (folder / file).read_text(encoding="utf-8").splitlines()
        (folder / file).write_text("\n".join(lines[:-1]), encoding="utf-8")

    result = took_in(sessions, folder)

    assert (result.added, result.changed) == (0, 0)
    with sessions.read() as session:
        assert len(rows_of(session, PlantingRow)) == 3


def facts(session: Session) -> list[tuple[int, FactKind, date]]:
    return [(fact.planting_id, fact.kind, fact.on) for fact in rows_of(session, PlantingFactRow)]


def test_another_day_of_planting_is_a_fact_and_the_row_keeps_the_first(
    sessions: Sessions, folder: Path
) -> None:
    took_in(sessions, folder)
    for day in ("2027-03-17", "2027-03-15"):
        set_cell(folder, "plantings.csv", 2, "planted_on", day)
        took_in(sessions, folder)

    with sessions.read() as session:
        assert [fact for fact in facts(session) if fact[0] == 1] == [
            (1, FactKind.SOWN, date(2027, 3, 17)),
            (1, FactKind.SOWN, date(2027, 3, 15)),
        ]
        assert rows_of(session, PlantingRow)[0].planted_on == date(2027, 3, 15)


def test_the_same_file_does_not_undo_what_the_grower_has_told_since(
    sessions: Sessions, folder: Path
) -> None:
    took_in(sessions, folder)
    with sessions.begin() as session:
        session.add_all(
            PlantingFactRow(
                association_id=1,
                planting_id=2,
                kind=kind,
                dose_number=None,
                on=date(2027, 2, 10),
                source=Source.TEXT,
                flag=None,
                recorded_at=LATER,
            )
            for kind in (FactKind.SOWN, FactKind.EMERGED)
        )

    result = took_in(sessions, folder)

    assert (result.added, result.changed) == (0, 0)
    with sessions.read() as session:
        assert facts(session)[-1] == (2, FactKind.EMERGED, date(2027, 2, 10))


def test_emergence_is_appended_once_for_each_day_told(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)
    set_cell(folder, "plantings.csv", 3, "emerged_on", "2027-02-09")

    took_in(sessions, folder)

    with sessions.read() as session:
        assert facts(session) == [
            (2, FactKind.EMERGED, date(2027, 2, 8)),
            (2, FactKind.EMERGED, date(2027, 2, 9)),
        ]


def test_what_happens_to_a_can_is_appended(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)
    set_cell(folder, "containers.csv", 4, "sealed_on", "2026-08-09")

    took_in(sessions, folder)

    with sessions.read() as session:
        happened = [
            (row.kind, row.on, row.source)
            for row in rows_of(session, ContainerEventRow)
            if row.container_id == 3
        ]
    assert happened == [
        (CanEventKind.SEALED, date(2026, 8, 1), Source.IMPORT),
        (CanEventKind.SEALED, date(2026, 8, 9), Source.IMPORT),
    ]


def test_two_letters_may_change_places(sessions: Sessions, folder: Path) -> None:
    took_in(sessions, folder)
    set_cell(folder, "plots.csv", 2, "letter", "D")
    set_cell(folder, "plots.csv", 3, "letter", "A")

    took_in(sessions, folder)

    with sessions.read() as session:
        assert [plot.letter for plot in rows_of(session, PlotRow)] == ["D", "A", "A"]


def test_a_folder_of_many_households_is_planned_in_one_go_to_the_same_doses(
    sessions: Sessions, folder: Path
) -> None:
    """201 further homes with a plot of maize each: seven doses (common practice, no source)."""
    for number in range(1, MANY_HOUSEHOLDS + 2):
        home = f"M{number}"
        add_row(
            folder,
            "households.csv",
            home,
            "N",
            home,
            home,
            "1",
            "0",
            "general",
            "sw",
            "",
            "no",
            "",
            "no",
            "",
        )
        add_row(folder, "plots.csv", home, "P1", "A", "20", "normal")
        add_row(
            folder,
            "plantings.csv",
            home,
            "P1",
            "S1",
            "maize-grain",
            "2027-03-15",
            "rains",
            *("",) * 6,
        )

    load_folder(sessions, folder, rules=RULES, visit=Visit(who="test", now=NOW))

    with sessions.read() as session:
        plantings = open_plantings(session, 1)
        many = [item for item in plantings if item.household.code.startswith("M")]
        assert len(many) == MANY_HOUSEHOLDS + 1
        assert {len(item.doses) for item in many} == {7}
        assert {sum(row.urine_l for row in item.doses) for item in many} == {30.0}
        assert all(item.doses for item in plantings)
