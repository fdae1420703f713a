"""`furrowbell import`: an association from a folder, all of it or nothing, once."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.clockwork import tick_command
from service.cli.store import import_command, migrate_command
from tests.unit.intake.folders import a_folder, set_cell

SETTINGS = """\
profile = "demo"
test_numbers = ["+255100000001", "+255100000002", "+255100000090"]
allowed_countries = ["TZ"]

[route]
adapter = "fake"
sender = "+255100000099"
"""

Import = Callable[[Path], Result]


@pytest.fixture
def database(tmp_path: Path) -> Path:
    """Where the service keeps its records."""
    return tmp_path / "furrowbell.db"


@pytest.fixture
def take_in(tmp_path: Path, database: Path) -> Import:
    """The command, on an empty database on 22 February 2027."""
    settings = tmp_path / "settings.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    environment = {
        "FURROWBELL_SETTINGS": str(settings),
        "FURROWBELL_DATABASE_URL": f"sqlite:///{database}",
    }
    runner = CliRunner(env=environment)
    assert runner.invoke(migrate_command).exit_code == 0
    moved = runner.invoke(tick_command, ["--at", "2027-02-22T10:00+03:00"])
    assert moved.exit_code == 0, moved.output
    return lambda folder: runner.invoke(import_command, [str(folder)])


def stored(database: Path, query: str) -> list[str]:
    with sqlite3.connect(database) as connection:
        return [row[0] for row in connection.execute(query)]


@pytest.mark.parametrize(
    "typed",
    ["0100 000 001", "+255100000001", "255100000001", "00255 100 000 001", "(0100) 000-001"],
)
def test_a_number_typed_in_any_local_way_is_stored_in_one_form(
    tmp_path: Path, database: Path, take_in: Import, typed: str
) -> None:
    """E5: one stored form, whatever way the number was typed."""
    folder = a_folder(tmp_path)
    set_cell(folder, "phones.csv", 2, "number", typed)

    result = take_in(folder)

    assert result.exit_code == 0, result.output
    numbers = stored(database, "SELECT number FROM phone ORDER BY id")
    assert numbers == ["+255100000001", "+255100000002"]


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        pytest.param("+33612345678", "country", id="other country"),
        pytest.param("+2551000", "too few digits", id="too short"),
        pytest.param("+255222110000", "mobile", id="fixed line"),
        pytest.param("0100000001", "Row 2 has the same number", id="another household has it"),
    ],
)
def test_a_number_that_cannot_be_texted_or_is_taken_is_refused(
    tmp_path: Path, database: Path, take_in: Import, typed: str, advice: str
) -> None:
    """E5: country, length and kind are checked; a taken number points to who has it."""
    folder = a_folder(tmp_path)
    set_cell(folder, "phones.csv", 3, "number", typed)
    set_cell(folder, "consents.csv", 3, "number", "+255100000001")
    set_cell(folder, "consents.csv", 3, "household", "H1")

    result = take_in(folder)

    assert result.exit_code == 2
    assert "phones.csv, row 3, column number: " in result.stderr
    assert advice in result.stderr
    assert stored(database, "SELECT number FROM phone") == []


def test_the_same_folder_twice_changes_nothing(
    tmp_path: Path, database: Path, take_in: Import
) -> None:
    """X3: the second time nothing is added; a changed row is, and says which column."""
    folder = a_folder(tmp_path)

    first, second = take_in(folder), take_in(folder)
    set_cell(folder, "plots.csv", 2, "area_m2", "90")
    third = take_in(folder)

    assert first.output == "19 added, 0 changed, 0 as they were.\n"
    assert second.output == "0 added, 0 changed, 19 as they were.\n"
    assert third.output == "0 added, 1 changed, 18 as they were.\n"
    assert stored(database, "SELECT detail FROM audit") == ['{"columns": ["area_m2"]}']


def test_what_a_spreadsheet_has_spoilt_is_told_at_once_and_nothing_is_kept(
    tmp_path: Path, database: Path, take_in: Import
) -> None:
    """X4: a power of ten, a lost zero and a date turned into a number, each with advice."""
    folder = a_folder(tmp_path)
    set_cell(folder, "phones.csv", 2, "number", "2.55712E+11")
    set_cell(folder, "phones.csv", 3, "number", "100000002")
    set_cell(folder, "containers.csv", 2, "sealed_on", "46397")

    result = take_in(folder)

    assert result.exit_code == 2
    told = [line.split(": ", maxsplit=1) for line in result.stderr.splitlines()]
    assert [place for place, _ in told] == [
        "phones.csv, row 2, column number",
        "phones.csv, row 3, column number",
        "containers.csv, row 2, column sealed_on",
    ]
    assert ["power of ten" in told[0][1], "zero" in told[1][1], "date" in told[2][1]] == [True] * 3
    assert all("format the column as text" in sentence for _, sentence in told)
    assert stored(database, "SELECT code FROM association") == []
