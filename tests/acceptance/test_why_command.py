"""The reasons of the calculator, through the `plan` command."""

import json
import re
from itertools import groupby
from typing import Any

import pytest
from click.testing import CliRunner

from service.cli.plan import plan_command

MAIZE = ("--crop", "maize-grain", "--planted", "2027-03-15")
ASKED = [
    pytest.param((*MAIZE, "--sealed", "2027-01-03"), id="maize with a can"),
    pytest.param(
        (*MAIZE, "--emerged", "2027-04-14", "--season", "rains"), id="late emergence, a drop"
    ),
    pytest.param((*MAIZE, "--n-kg-ha", "160", "--soil", "salty", "--n-g-l", "6"), id="nitrogen"),
    pytest.param(
        ("--crop", "kale", "--planted", "2027-03-15", "--regime", "sold-any"), id="a shortfall"
    ),
    pytest.param((*MAIZE, "--first-harvest", "2027-04-10"), id="no dose fits"),
    pytest.param(
        (*MAIZE, "--season-days", "130", "--fraction", "7/10", "--water-ratio", "4"), id="chosen"
    ),
]


def run(*args: str) -> str:
    result = CliRunner().invoke(plan_command, [*args])
    assert result.exit_code == 0
    return result.stdout


def answered(text: str) -> list[tuple[str, str]]:
    """Return each line of the answer with the reasons under it; lines of cautions are joined."""
    body = text.partition("\nSources\n")[0]
    found: list[tuple[str, str]] = []
    for is_reason, lines in groupby(body.splitlines(), key=_is_reason):
        said = list(lines)
        if is_reason:
            plain, _ = found.pop()
            found.append((plain, " ".join(" ".join(said).split())))
        else:
            found += [(" ".join(line.split()), "") for line in _joined(said)]
    return found


def _is_reason(line: str) -> bool:
    return line.startswith(("      why: ", " " * 11))


def _joined(lines: list[str]) -> list[str]:
    joined: list[str] = []
    for line in lines:
        continues = line.startswith("  ") and not line.startswith("   ")
        if joined and (continues or line.startswith("at ")):
            joined[-1] += f" {line}"
        else:
            joined.append(line)
    return joined


def unexplained(text: str) -> list[str]:
    """Return the figures that no reason under their line names; a caution's needs its source."""
    bare = []
    for line, reasons in answered(text):
        if line.startswith("- ") and reasons.endswith(")"):
            continue
        known = set(re.findall(r"\d+(?:\.\d+)?", reasons))
        bare += [
            f"{figure} in {line!r}"
            for figure in re.findall(r"\d+(?:\.\d+)?", line.replace("m2", ""))
            if figure not in known
        ]
    return bare


@pytest.mark.parametrize("args", ASKED)
def test_no_figure_of_the_calculator_stands_without_a_reason(args: tuple[str, ...]) -> None:
    """A13: of all numbers and days that the command prints, none lacks its reason."""
    text = run(*args, "--why")

    assert len(re.findall(r"\d", text)) > 100
    assert unexplained(text) == []


@pytest.mark.parametrize("args", ASKED)
def test_every_reason_of_the_calculator_names_a_source_or_was_told(args: tuple[str, ...]) -> None:
    """A13: a letter of the list of sources, or the word told."""
    body, _, listed = run(*args, "--why").partition("\nSources\n")
    letters = set(re.findall(r"^  \[(\w+)\]", listed, re.MULTILINE))
    marks = re.findall(r"\[(\w+)\]", body)

    assert letters
    assert {mark for mark in marks if mark != "told"} == letters
    assert all("[" in why or why.endswith(")") for _, why in answered(body) if why)


def test_programs_get_the_reasons_with_the_values_to_redo_them() -> None:
    """A13: the day of dose 4 is 21 days after emergence, 6 days after sowing."""
    rows: list[dict[str, Any]] = json.loads(run(*MAIZE, "--why", "--format", "json"))["why"]
    found = {row["subject"]: row for row in rows}

    assert found["emergence"]["values"]["days"] == 6
    assert found["emergence"]["source"] == "AquaCrop crop parameters, Maize"
    assert found["dose-4-day"]["values"] == {
        "number": 4,
        "days": 21,
        "up_on": "2027-03-21",
        "on": "2027-04-11",
    }
    assert found["dose-4-day"]["source"].startswith("Common practice, no source")
    assert all(row["source"] or row["found"] == "told" for row in rows)
