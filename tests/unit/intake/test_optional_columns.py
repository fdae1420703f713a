"""Columns that a file may have: taken where they stand, and undoing nothing where they do not."""

from pathlib import Path

import pytest

from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.intake.folder import read_folder
from service.intake.store import IntakeResult
from service.records.engine import Sessions
from service.records.fields import ContainerEventRow, PlantingRow
from service.records.people import AreaRow, AuditRow, HouseholdRow
from tests.unit.intake.folders import RULES, faults_of, rows_of, store

OWN = ("avoid_weekday", "collected_share", "bottle_ml")


def took_in(sessions: Sessions, folder: Path) -> IntakeResult:
    return store(sessions, read_folder(folder, RULES))


def add_columns(folder: Path, file: str, *names: str, first: tuple[str, ...]) -> None:
    """Give a file more columns; its first row has these cells, the others blank ones."""
    head, row, *others = (folder / file).read_text(encoding="utf-8").splitlines()
    blank = "," * len(names)
    lines = [",".join((head, *names)), ",".join((row, *first)), *(line + blank for line in others)]
    (folder / file).write_text("\n".join(lines) + "\n", encoding="utf-8")


def test_an_area_may_have_a_store_temperature_of_its_own(sessions: Sessions, folder: Path) -> None:
    add_columns(folder, "areas.csv", "store_c", first=("-4.5",))

    took_in(sessions, folder)

    with sessions.read() as session:
        assert [row.store_c for row in rows_of(session, AreaRow)] == [-4.5, None]


def test_a_household_may_have_a_day_to_avoid_a_share_and_a_bottle(
    sessions: Sessions, folder: Path
) -> None:
    add_columns(folder, "households.csv", *OWN, first=("Friday", "80", "1500"))

    took_in(sessions, folder)

    with sessions.read() as session:
        homes = [
            (row.avoid_weekday, row.collected_share, row.bottle_ml)
            for row in rows_of(session, HouseholdRow)
        ]
    assert homes == [(4, 0.8, 1500), (None, 1.0, None), (None, 1.0, None)]


def test_a_planting_may_have_eaters_of_its_own(sessions: Sessions, folder: Path) -> None:
    add_columns(folder, "plantings.csv", "regime", first=("sold-processed",))

    took_in(sessions, folder)

    with sessions.read() as session:
        found = [row.regime for row in rows_of(session, PlantingRow)]
    assert found == [Regime.SOLD_PROCESSED, None, None]


def test_a_can_may_have_leaked(sessions: Sessions, folder: Path) -> None:
    add_columns(folder, "containers.csv", "leaked_on", first=("2027-02-01",))

    took_in(sessions, folder)

    with sessions.read() as session:
        kinds = [event.kind for event in rows_of(session, ContainerEventRow)]
    assert kinds.count(CanEventKind.LEAKED) == 1


def test_a_folder_without_the_columns_leaves_what_was_entered_on_the_pages(
    sessions: Sessions, folder: Path
) -> None:
    took_in(sessions, folder)
    with sessions.begin() as session:
        area, home = session.get_one(AreaRow, 1), session.get_one(HouseholdRow, 1)
        area.store_c, home.avoid_weekday, home.collected_share = 17, 4, 0.5
        session.get_one(PlantingRow, 1).regime = Regime.GENERAL

    result = took_in(sessions, folder)

    assert (result.added, result.changed) == (0, 0)
    with sessions.read() as session:
        area, home = session.get_one(AreaRow, 1), session.get_one(HouseholdRow, 1)
        assert (area.store_c, home.avoid_weekday, home.collected_share) == (17, 4, 0.5)
        assert session.get_one(PlantingRow, 1).regime is Regime.GENERAL


def test_another_store_temperature_brings_new_plans_to_its_area_alone(
    sessions: Sessions, folder: Path
) -> None:
    add_columns(folder, "areas.csv", "store_c", first=("24",))
    took_in(sessions, folder)
    text = (folder / "areas.csv").read_text(encoding="utf-8")
    (folder / "areas.csv").write_text(text.replace("North,24", "North,17"), encoding="utf-8")

    result = took_in(sessions, folder)

    assert result.changed_plantings == (1, 2)
    with sessions.read() as session:
        (entry,) = rows_of(session, AuditRow)
        assert (entry.subject, entry.detail) == ("area", {"columns": ["store_c"]})


@pytest.mark.parametrize(
    ("file", "names", "cells", "column", "advice"),
    [
        pytest.param("areas.csv", ("store_c",), ("-31",), "store_c", "from -30 to 60", id="cold"),
        pytest.param(
            "households.csv", OWN, ("Fri", "", ""), "avoid_weekday", "friday", id="no such day"
        ),
        pytest.param(
            "households.csv", OWN, ("", "101", ""), "collected_share", "from 0 to 100", id="share"
        ),
        pytest.param(
            "households.csv", OWN, ("", "", "200"), "bottle_ml", "from 250 to 5000", id="bottle"
        ),
        pytest.param("plantings.csv", ("regime",), ("us",), "regime", "choices", id="eaters"),
        pytest.param(
            "areas.csv", ("store_c", "store_c"), ("1", "2"), "store_c", "twice", id="twice"
        ),
    ],
)
def test_an_optional_cell_that_cannot_be_meant_is_told(  # noqa: PLR0913, PLR0917 -- a row of the table
    folder: Path,
    file: str,
    names: tuple[str, ...],
    cells: tuple[str, ...],
    column: str,
    advice: str,
) -> None:
    add_columns(folder, file, *names, first=cells)

    told = {(fault.file, fault.column): fault.sentence for fault in faults_of(folder)}

    assert advice in told[file, column]
