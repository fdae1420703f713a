"""Files as they leave a spreadsheet: read right, or refused by name."""

from pathlib import Path

import pytest

from service.intake.folder import read_folder
from tests.unit.intake.folders import FILES, RULES, add_row, faults_of, places

PLOTS = FILES["plots.csv"]


def test_a_valid_folder_has_no_fault(folder: Path) -> None:
    assert faults_of(folder) == ()


def test_every_file_must_be_there(folder: Path) -> None:
    for name in FILES:
        (folder / name).unlink()

    faults = faults_of(folder)

    assert places(faults) == [(name, 0, "") for name in FILES]
    assert all("missing" in fault.sentence for fault in faults)


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(PLOTS.encode("utf-8-sig"), id="byte order mark"),
        pytest.param(PLOTS.replace("\n", "\r\n").encode(), id="line ends of one system"),
        pytest.param(PLOTS.replace("\n", "\r").encode(), id="line ends of another"),
        pytest.param(PLOTS.rstrip("\n").encode(), id="no line end at the end"),
        pytest.param(PLOTS.replace("H1,P1", '" H1 ","P1"').encode(), id="quotes and blanks"),
        pytest.param(PLOTS.replace("area_m2", "Area_m2").encode(), id="capitals in the header"),
        pytest.param(PLOTS.replace("H2,", "\n,,,,\nH2,").encode(), id="blank rows"),
    ],
)
def test_a_file_saved_in_another_way_reads_alike(folder: Path, content: bytes) -> None:
    as_written = read_folder(folder, RULES)

    (folder / "plots.csv").write_bytes(content)

    plots = read_folder(folder, RULES).plots
    assert [(plot.household, plot.area_m2) for plot in plots] == [
        (plot.household, plot.area_m2) for plot in as_written.plots
    ]


@pytest.mark.parametrize(
    ("content", "row", "advice"),
    [
        pytest.param(PLOTS.encode("utf-16"), 0, "CSV UTF-8", id="other encoding"),
        pytest.param(b"PK\x03\x04\0\0", 0, "CSV UTF-8", id="a zip file"),
        pytest.param(PLOTS.replace(",", ";").encode(), 1, "commas", id="semicolons"),
        pytest.param(b"", 1, "missing", id="empty"),
        pytest.param(PLOTS.replace("H2,P1", 'H2,"P1').encode(), 3, "quote", id="open quote"),
        pytest.param(PLOTS.replace("H2,P1,D", "H2,P1,D,").encode(), 3, "6 cells", id="a cell more"),
        pytest.param(PLOTS.replace("H2,P1,D", "H2,P1").encode(), 3, "4 cells", id="a cell less"),
        pytest.param(
            PLOTS.replace("H2", "H" * 200_000).encode(), 3, "far too long", id="a huge cell"
        ),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_with_advice(
    folder: Path, content: bytes, row: int, advice: str
) -> None:
    (folder / "plots.csv").write_bytes(content)

    faults = [fault for fault in faults_of(folder) if fault.file == "plots.csv"]

    assert {fault.row for fault in faults} == {row}
    assert all(advice in fault.sentence for fault in faults)


def test_a_folder_in_place_of_a_file_is_refused(folder: Path) -> None:
    (folder / "plots.csv").unlink()
    (folder / "plots.csv").mkdir()

    (fault,) = faults_of(folder)

    assert (fault.file, fault.row) == ("plots.csv", 0)
    assert "cannot be opened" in fault.sentence


def test_a_file_of_more_than_64_megabytes_is_not_read(folder: Path) -> None:
    with (folder / "plots.csv").open("rb+") as opened:
        opened.truncate(64 * 1024 * 1024 + 1)

    (fault,) = faults_of(folder)

    assert (fault.file, fault.row) == ("plots.csv", 0)
    assert "too large" in fault.sentence


def test_a_file_that_was_not_read_brings_no_fault_elsewhere(folder: Path) -> None:
    (folder / "households.csv").write_text("code;area", encoding="utf-8")

    assert places(faults_of(folder)) == [("households.csv", 1, "")]


@pytest.mark.parametrize(
    ("header", "column", "advice"),
    [
        pytest.param("household,code,letter,area_m2", "soil", "missing", id="missing"),
        pytest.param("household,code,letter,area_m2,soil,owner", "", "Column 6", id="unknown"),
        pytest.param("household,code,letter,soil,soil", "area_m2", "missing", id="misnamed"),
        pytest.param("household,code,letter,area_m2,soil,soil", "soil", "twice", id="twice"),
    ],
)
def test_columns_are_those_of_the_list_and_no_other(
    folder: Path, header: str, column: str, advice: str
) -> None:
    (folder / "plots.csv").write_text(header + "\n", encoding="utf-8")

    told = {(fault.row, fault.column): fault.sentence for fault in faults_of(folder)}

    assert advice in told[1, column]


def test_an_unknown_column_is_not_repeated_since_it_may_be_a_name(folder: Path) -> None:
    (folder / "areas.csv").write_text("code,Jane Roe\n", encoding="utf-8")

    assert not any("Jane" in fault.line() for fault in faults_of(folder))


def test_rows_are_counted_as_a_spreadsheet_counts_them(folder: Path) -> None:
    text = FILES["areas.csv"].replace("S,", '\n,\nS,"')
    (folder / "areas.csv").write_text(text.replace("South", 'So\nuth"'), encoding="utf-8")
    add_row(folder, "areas.csv", "E E", "East")

    assert places(faults_of(folder)) == [("areas.csv", 5, "name"), ("areas.csv", 6, "code")]


def test_a_sheet_has_at_most_fifty_thousand_rows(folder: Path) -> None:
    rows = "\n".join(f"E{number},East" for number in range(50_001))
    (folder / "areas.csv").write_text(FILES["areas.csv"] + rows, encoding="utf-8")

    faults = faults_of(folder)

    assert places(faults) == [("areas.csv", 50_002, "")]
    assert "50000" in faults[0].sentence
