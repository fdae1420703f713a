"""Rows that are right in themselves and do not fit together."""

from pathlib import Path

import pytest

from service.intake.clashes import Mark, clashes
from tests.unit.intake.folders import add_row, faults_of, places, set_cell


@pytest.mark.parametrize(
    ("file", "cells", "column"),
    [
        pytest.param("areas.csv", ("N", "North again"), "code", id="area"),
        pytest.param(
            "households.csv",
            ("H1", "N", "Other", "Other", "1", "0", "", "sw", "", "no", "", "no", ""),
            "code",
            id="household",
        ),
        pytest.param("phones.csv", ("+255 100 000 001", "H3", "sw"), "number", id="phone"),
        pytest.param(
            "consents.csv", ("0100000001", "", "2027-02-10", "x", "y"), "asked_on", id="consent"
        ),
        pytest.param("plots.csv", ("H1", "P1", "G", "10", "normal"), "code", id="plot"),
        pytest.param(
            "plantings.csv",
            ("H1", "P1", "2027-1", "kale", "2028-01-10", "dry", "", "", "", "", "", ""),
            "code",
            id="planting",
        ),
        pytest.param(
            "containers.csv", ("H1", "1", "20", "no", "", "", "", ""), "number", id="container"
        ),
    ],
)
def test_a_key_that_stands_twice_points_to_its_first_row(
    folder: Path, file: str, cells: tuple[str, ...], column: str
) -> None:
    add_row(folder, file, *cells)

    told = {(fault.file, fault.column): fault.sentence for fault in faults_of(folder)}

    assert "Row 2" in told[file, column]


def test_one_folder_holds_one_association(folder: Path) -> None:
    other = ("other", "Others", "UTC", "TZ", "sw", "+255100000091", "free", "")
    add_row(folder, "association.csv", *other)

    assert places(faults_of(folder)) == [("association.csv", 3, "")]


def test_a_folder_without_its_association_is_refused(folder: Path) -> None:
    header = (folder / "association.csv").read_text(encoding="utf-8").splitlines()[0]
    (folder / "association.csv").write_text(header + "\n", encoding="utf-8")

    assert places(faults_of(folder)) == [("association.csv", 2, "")]


def test_two_plots_on_one_phone_cannot_have_one_letter(folder: Path) -> None:
    set_cell(folder, "plots.csv", 3, "letter", "A")

    (fault,) = faults_of(folder)

    assert (fault.file, fault.row, fault.column) == ("plots.csv", 3, "letter")
    assert "Row 2" in fault.sentence


def test_two_plots_of_one_household_cannot_have_one_letter(folder: Path) -> None:
    add_row(folder, "plots.csv", "H3", "P2", "A", "20", "normal")

    assert places(faults_of(folder)) == [("plots.csv", 5, "letter")]


def test_a_letter_may_come_back_on_another_phone_and_a_ninth_plot_has_none(folder: Path) -> None:
    for number, letter in enumerate(("D", "G", "J", "M", "P", "T", "W", "", ""), start=2):
        add_row(folder, "plots.csv", "H3", f"P{number}", letter, "20", "normal")

    assert faults_of(folder) == ()


@pytest.mark.parametrize(
    ("file", "column", "value"),
    [
        pytest.param("containers.csv", "number", "1", id="cans of one number"),
        pytest.param("households.csv", "label", "tree", id="homes of one label"),
    ],
)
def test_those_who_share_a_phone_are_told_apart(
    folder: Path, file: str, column: str, value: str
) -> None:
    set_cell(folder, file, 3, column, value)

    assert places(faults_of(folder)) == [(file, 3, column)]


def test_homes_on_two_phones_clash_only_with_those_they_share_one_with() -> None:
    marks = [
        Mark(household=home, sign="A", row=row) for row, home in enumerate(("H1", "H2", "H3"), 2)
    ]

    found = clashes(marks, [("H1", "H2"), ("H2", "H4"), ("H3",)])

    assert [(clash.later.row, clash.earlier.row) for clash in found] == [(3, 2)]


def test_a_plot_has_one_planting_at_a_time(folder: Path) -> None:
    """Maize (grain) stands 125 days (FAO-56, Table 11): from 2027-03-15 to 2027-07-18."""
    second = ("H1", "P1", "2027-2", "kale", "2027-07-17", "rains", "", "", "", "", "", "")
    add_row(folder, "plantings.csv", *second)

    assert places(faults_of(folder)) == [("plantings.csv", 5, "plot")]

    set_cell(folder, "plantings.csv", 5, "planted_on", "2027-07-18")

    assert faults_of(folder) == ()


def test_a_faulty_row_still_counts_as_standing(folder: Path) -> None:
    set_cell(folder, "households.csv", 2, "adults", "two")
    set_cell(folder, "plots.csv", 2, "area_m2", "0")

    assert places(faults_of(folder)) == [
        ("households.csv", 2, "adults"),
        ("plots.csv", 2, "area_m2"),
    ]


def test_a_number_typed_wrongly_brings_no_fault_to_its_consent(folder: Path) -> None:
    set_cell(folder, "phones.csv", 3, "number", "2.55E+11")

    assert places(faults_of(folder)) == [("phones.csv", 3, "number")]
