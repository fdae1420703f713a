"""One wrong cell: one fault, at its file, row and column, with a sentence that says what to do."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.unit.intake.folders import RULES, add_row, faults_of, places, set_cell

ASSOCIATION = "association.csv"
HOUSEHOLDS = "households.csv"
PHONES = "phones.csv"
CONSENTS = "consents.csv"
PLOTS = "plots.csv"
PLANTINGS = "plantings.csv"
CONTAINERS = "containers.csv"

BAD_CELLS = [
    (ASSOCIATION, "name", "Invented Growers of", "at most 18", "name of 19 letters"),
    (ASSOCIATION, "name", "Growers \u0426", "not on every phone", "name outside the alphabet"),
    (ASSOCIATION, "cost", "x" * 25, "at most 24", "cost too long for the text"),
    (ASSOCIATION, "zone", "Africa/Nowhere", "time zone", "no such zone"),
    (ASSOCIATION, "country", "FR", "TZ or KE", "country not served"),
    (ASSOCIATION, "language", "xx", "en or sw", "language without texts"),
    (ASSOCIATION, "phone", "15050", "short code", "short code as the person to ask"),
    (ASSOCIATION, "store_c", "warm", "not a number", "temperature in words"),
    (ASSOCIATION, "store_c", "75", "from -30 to 60", "temperature of 75 degrees"),
    (HOUSEHOLDS, "code", "", "blank", "no code"),
    (HOUSEHOLDS, "code", "H 1", "no blanks", "code with a blank"),
    (HOUSEHOLDS, "area", "X", "areas.csv", "no such area"),
    (HOUSEHOLDS, "alias", "=1+1", "formula", "formula"),
    (HOUSEHOLDS, "alias", "@SUM(1)", "formula", "formula of another kind"),
    (HOUSEHOLDS, "alias", "+1", "formula", "plus outside a number"),
    (HOUSEHOLDS, "alias", "Big\tTree", "one line", "tab inside"),
    (HOUSEHOLDS, "alias", "x" * 61, "at most 60", "alias too long"),
    (HOUSEHOLDS, "label", "Ninelette", "at most 8", "label of 9 letters"),
    (HOUSEHOLDS, "label", "Ab{}[]", "at most 8", "label of 10 septets"),
    (HOUSEHOLDS, "adults", "two", "not a number", "adults in words"),
    (HOUSEHOLDS, "adults", "1.5", "whole number", "half an adult"),
    (HOUSEHOLDS, "children", "-1", "from 0 to 40", "children below zero"),
    (HOUSEHOLDS, "eats", "general public", "did you mean general", "eaters misspelt"),
    (HOUSEHOLDS, "word", "tea", "swallow", "a drink for the substance"),
    (HOUSEHOLDS, "word", "urine", "says what it is", "a revealing word"),
    (HOUSEHOLDS, "word", "thirteen abcd", "at most 12", "a word too long"),
    (HOUSEHOLDS, "discreet", "maybe", "yes or no", "neither yes nor no"),
    (HOUSEHOLDS, "needs_call", "", "blank", "yes or no left out"),
    (HOUSEHOLDS, "remind_at", "20:00", "17:00 to 19:59", "hour at night"),
    (HOUSEHOLDS, "remind_at", "16:59", "17:00 to 19:59", "hour too early"),
    (HOUSEHOLDS, "remind_at", "6pm", "17:00 to 19:59", "hour in another form"),
    (HOUSEHOLDS, "cup_ml", "20", "from 50 to 2000", "a thimble"),
    (PHONES, "number", "2.55E+11", "power of ten", "number mangled by a spreadsheet"),
    (PHONES, "number", "2,55712E+11", "power of ten", "mangled with a comma"),
    (PHONES, "number", "100000001", "zero in front is lost", "zero lost in a spreadsheet"),
    (PHONES, "number", "", "blank", "no number"),
    (PHONES, "number", "+255000000000", "check every digit", "number that nobody has"),
    (PHONES, "number", "+25562123", "too few digits", "number too short"),
    (PHONES, "number", "+33612345678", "country", "number of another country"),
    (PHONES, "number", "=HYPERLINK(1)", "digits only", "formula for a number"),
    (PHONES, "number", "0" * 40, "too long", "forty digits"),
    (PHONES, "households", "H1;H9", "households.csv", "no such household"),
    (PHONES, "households", "H1;H2;H1", "twice", "one household twice"),
    (PHONES, "households", ";", "write its code", "no household at all"),
    (PHONES, "language", "fr", "en or sw", "language without texts"),
    (CONSENTS, "number", "+255100000003", "phones.csv", "number of nobody"),
    (CONSENTS, "household", "H3", "does not serve", "household of another phone"),
    (CONSENTS, "asked_on", "2027-02-23", "not come yet", "asked tomorrow"),
    (CONSENTS, "asked_on", "10/02/2027", "year-month-day", "date in another form"),
    (CONSENTS, "asked_on", "46428", "turned this date into a number", "date as a number"),
    (CONSENTS, "asked_on", "2027-02-30", "no such day", "thirtieth of February"),
    (CONSENTS, "asked_by", "", "blank", "nobody asked"),
    (CONSENTS, "wording", "x" * 401, "at most 400", "wording too long"),
    (PLOTS, "household", "H9", "households.csv", "no such household"),
    (PLOTS, "letter", "B", "A or D or G", "letter not on a key"),
    (PLOTS, "area_m2", "0", "from 1 to 10000", "no area"),
    (PLOTS, "area_m2", "1000000", "from 1 to 10000", "absurd area"),
    (PLOTS, "area_m2", "nan", "not a number", "area that is no number"),
    (PLOTS, "area_m2", "1,5", "a point for parts", "comma in a number"),
    (PLOTS, "area_m2", "", "blank", "area left out"),
    (PLOTS, "soil", "sand", "normal or salty or dry", "soil of another list"),
    (PLANTINGS, "household", "H9", "households.csv", "no such household"),
    (PLANTINGS, "plot", "P2", "plots.csv", "no such plot"),
    (PLANTINGS, "crop", "maize-grian", "did you mean maize-grain", "crop misspelt"),
    (PLANTINGS, "crop", "", "blank", "no crop"),
    (PLANTINGS, "planted_on", "", "blank", "no day of planting"),
    (PLANTINGS, "crop", "qqq", "no such crop", "unknown crop"),
    (PLANTINGS, "crop", "cowpea", "nitrogen", "legume"),
    (PLANTINGS, "crop", "banana", "the rains of its area", "crop that stands for years"),
    (PLANTINGS, "crop", "rice-transplanted", "drained", "rice on ground not known as drained"),
    (PLANTINGS, "planted_on", "2072-03-15", "correct the year", "year mistyped"),
    (PLANTINGS, "season", "wet", "rains or dry", "season of another list"),
    (PLANTINGS, "water_ratio", "11", "from 0 to 10", "too much water"),
    (PLANTINGS, "litres_per_m2", "6.1", "lower the target", "over the ceiling"),
    (PLANTINGS, "litres_per_m2", "0", "from 0.01", "no litres"),
    (PLANTINGS, "season_days", "12.5", "whole number", "half a day"),
    (PLANTINGS, "first_harvest_on", "2027-03-15", "not after the planting", "harvest at planting"),
    (PLANTINGS, "first_harvest_on", "2027-12-01", "season's end", "harvest after the season"),
    (PLANTINGS, "transplanted", "perhaps", "yes or no", "neither yes nor no"),
    (PLANTINGS, "emerged_on", "2027-03-14", "before they were planted", "up before planting"),
    (PLANTINGS, "emerged_on", "2027-03-21", "not come yet", "up in the future"),
    (CONTAINERS, "household", "H9", "households.csv", "no such household"),
    (CONTAINERS, "number", "0", "from 1 to 99", "can number zero"),
    (CONTAINERS, "litres", "0", "from 0.5", "no litres"),
    (CONTAINERS, "longer_rest", "1", "yes or no", "neither yes nor no"),
    (CONTAINERS, "sealed_on", "2027-02-23", "not come yet", "sealed in the future"),
    (CONTAINERS, "sealed_on", "2026-12-19", "before its filling", "sealed before opened"),
    (CONTAINERS, "refilled_on", "2027-01-09", "Only a sealed can", "topped up before sealing"),
    (CONTAINERS, "emptied_on", "2027-01-09", "before it was sealed", "emptied before sealing"),
]


@pytest.mark.parametrize(
    ("file", "column", "value", "advice"),
    [pytest.param(*row[:4], id=f"{row[0]}: {row[4]}") for row in BAD_CELLS],
)
def test_a_wrong_cell_is_told_where_it_stands(
    folder: Path, file: str, column: str, value: str, advice: str
) -> None:
    set_cell(folder, file, 2, column, value)

    told = {(fault.file, fault.row, fault.column): fault.sentence for fault in faults_of(folder)}

    assert advice in told[file, 2, column]


def test_a_dry_season_needs_two_parts_of_water(folder: Path) -> None:
    """Common practice, no source: at least 2 : 1 in the dry season."""
    set_cell(folder, PLANTINGS, 3, "water_ratio", "1")

    assert places(faults_of(folder)) == [(PLANTINGS, 3, "water_ratio")]


def test_a_number_without_a_zero_in_front_is_whole_where_none_is_dialled(folder: Path) -> None:
    """Example number of phonenumbers for MZ, where local numbers have no zero in front."""
    rules = replace(RULES, allowed_countries=("TZ", "MZ"))
    set_cell(folder, "association.csv", 2, "country", "MZ")
    set_cell(folder, PHONES, 2, "number", "821234567")
    set_cell(folder, PHONES, 3, "number", "+255100000002")
    set_cell(folder, CONSENTS, 2, "number", "+258821234567")

    assert faults_of(folder, rules) == ()


def test_a_household_of_nobody_is_refused(folder: Path) -> None:
    set_cell(folder, HOUSEHOLDS, 2, "adults", "0")
    set_cell(folder, HOUSEHOLDS, 2, "children", "0")

    assert places(faults_of(folder)) == [(HOUSEHOLDS, 2, "adults")]


def test_all_faults_of_all_files_are_told_at_once(folder: Path) -> None:
    for file, row, column, value in (
        (PLOTS, 4, "area_m2", "0"),
        (HOUSEHOLDS, 2, "adults", "two"),
        (HOUSEHOLDS, 2, "label", "Ninelette"),
        (PLANTINGS, 2, "crop", "cowpea"),
        (CONTAINERS, 3, "sealed_on", "2027-13-01"),
    ):
        set_cell(folder, file, row, column, value)

    assert places(faults_of(folder)) == [
        (HOUSEHOLDS, 2, "adults"),
        (HOUSEHOLDS, 2, "label"),
        (PLOTS, 4, "area_m2"),
        (PLANTINGS, 2, "crop"),
        (CONTAINERS, 3, "sealed_on"),
    ]


def test_a_fault_reads_as_one_line_and_repeats_no_number(folder: Path) -> None:
    add_row(folder, PHONES, "+255000000000", "H3", "sw")

    (fault,) = faults_of(folder)

    assert fault.line().startswith("phones.csv, row 4, column number: ")
    assert "255000000000" not in fault.line()
