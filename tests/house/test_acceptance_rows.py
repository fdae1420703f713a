"""The list of what the service must do, held against the acceptance tests."""

import pytest

from tests.house import acceptance_rows
from tests.house.acceptance_rows import FOLDER

LISTING = """# Rows

| id | what | mark | held by |
|---|---|---|---|
| E1 | A household is enrolled | must | test_enrol.py |
| E2 | Consent comes first | must | later |
"""
ENROL = '''
def test_a_household_is_enrolled():
    """E1: with two fields only."""
'''


def test_the_list_and_the_acceptance_tests_say_the_same() -> None:
    listing = (FOLDER / "README.md").read_text(encoding="utf-8")

    faults = acceptance_rows.row_faults(listing, acceptance_rows.acceptance_sources(FOLDER))

    assert faults == []


def test_the_list_holds_every_group_and_both_marks() -> None:
    listing = (FOLDER / "README.md").read_text(encoding="utf-8")

    rows = acceptance_rows.listed_rows(listing)

    assert {row_id[0] for row_id in rows} == set("EAMRTLOIXDSFC")
    assert listing.count("| must |") + listing.count("| beyond |") == len(rows)


def test_a_list_that_is_right_is_left_alone() -> None:
    assert acceptance_rows.row_faults(LISTING, {"test_enrol.py": ENROL}) == []
    assert acceptance_rows.refilled(LISTING, {"test_enrol.py": ENROL}) == LISTING


@pytest.mark.parametrize(
    ("docstring", "fault"),
    [
        pytest.param(
            "E9: no such row.",
            "test_a.py: test_b names E9, which the list lacks.",
            id="unknown row",
        ),
        pytest.param(
            "Says nothing of a row.",
            "test_a.py: test_b needs a docstring that starts with a row id and `: `.",
            id="no row",
        ),
        pytest.param(
            "E2, E9: one known, one not.",
            "test_a.py: test_b names E9, which the list lacks.",
            id="one of two unknown",
        ),
        pytest.param(
            "E2: a row that the list calls later.",
            "Row E2 says 'later' where it should say 'test_a.py'.",
            id="list behind the tests",
        ),
    ],
)
def test_a_test_at_odds_with_the_list_is_named(docstring: str, fault: str) -> None:
    sources = {"test_enrol.py": ENROL, "test_a.py": f'def test_b():\n    """{docstring}"""\n'}

    assert fault in acceptance_rows.row_faults(LISTING, sources)


def test_a_row_whose_test_is_gone_is_named() -> None:
    assert acceptance_rows.row_faults(LISTING, {}) == [
        "Row E1 says 'test_enrol.py' where it should say 'later'."
    ]


def test_refilling_names_every_file_that_holds_a_row() -> None:
    sources = {"test_b.py": ENROL, "test_a.py": ENROL.replace("E1:", "E1 E2:")}

    refilled = acceptance_rows.refilled(LISTING, sources)

    assert "| E1 | A household is enrolled | must | test_a.py, test_b.py |" in refilled
    assert "| E2 | Consent comes first | must | test_a.py |" in refilled


def test_a_row_listed_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="Listed twice: E1"):
        acceptance_rows.listed_rows(LISTING + "| E1 | Again | must | later |\n")
