"""Why the calculator answers as it does: in words under each line, and as rows for programs."""

import json
from typing import Any

import pytest
from click.testing import CliRunner

from service.agronomy.reasons import RuleId
from service.cli.plan import plan_command
from service.cli.why_words import WORDS

MAIZE = ("--crop", "maize-grain", "--planted", "2027-03-15")


def text(*args: str) -> str:
    result = CliRunner().invoke(plan_command, [*args, "--why"])
    assert (result.exit_code, result.stderr) == (0, "")
    return result.stdout


def flat(*args: str) -> str:
    """Return the whole text in one line, each run of blanks as one."""
    return " ".join(text(*args).split())


def answer(*args: str) -> dict[str, Any]:
    result = CliRunner().invoke(plan_command, [*args, "--format", "json"])
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def reasons(*args: str) -> dict[str, list[dict[str, Any]]]:
    """Return the rows of `why` by their subject."""
    found: dict[str, list[dict[str, Any]]] = {}
    for row in answer(*args, "--why")["why"]:
        found.setdefault(row["subject"], []).append(row)
    return found


def test_every_rule_has_words() -> None:
    assert set(WORDS) == set(RuleId) - {RuleId.CAUTION}  # a caution says itself


def test_without_the_question_the_answer_has_no_reasons() -> None:
    with_reasons = answer(*MAIZE, "--why")
    del with_reasons["why"]

    assert answer(*MAIZE) == with_reasons
    assert "why:" not in CliRunner().invoke(plan_command, [*MAIZE]).stdout


def test_a_row_names_subject_rule_values_source_and_how_it_was_had() -> None:
    """FAO-56 gives maize 125 days; two thirds of them, rounded down, are 83."""
    share = reasons(*MAIZE)["cutoff"][0]

    assert list(share) == ["subject", "rule", "values", "source", "found"]
    assert (share["rule"], share["found"]) == ("cutoff-share", "read")
    assert share["values"] == {
        "share": "2/3",
        "days": 125,
        "part": 83,
        "planted_on": "2027-03-15",
        "on": "2027-06-06",
    }
    assert share["source"].startswith("Joensson et al. 2004")


def test_what_was_given_has_no_source_and_what_was_taken_has_one() -> None:
    taken = reasons(*MAIZE)
    given = reasons(*MAIZE, "--area-m2", "100", "--season", "dry", "--regime", "general")

    assert [row["found"] for row in given["area"]] == ["told"]
    assert given["area"][0]["source"] is None
    assert given["dose-1-water"][0]["rule"] == "season-told"
    assert given["can-rest"][0]["rule"] == "regime-told"
    assert taken["area"][0]["source"].startswith("Project choice, no source")
    assert taken["dose-1-water"][0]["rule"] == "season-assumed"
    assert taken["can-rest"][0]["rule"] == "regime-assumed"


def test_litres_from_a_nitrogen_target_name_both_figures() -> None:
    """75 kg a hectare at 5 g a litre are 15,000 L a hectare, 1.5 L a square metre."""
    target = reasons(*MAIZE, "--n-kg-ha", "75")["target"]
    measured = reasons(*MAIZE, "--n-kg-ha", "75", "--n-g-l", "5")["target"]

    assert [row["rule"] for row in target[:3]] == [
        "nitrogen-target",
        "nitrogen-content",
        "litres-from-nitrogen",
    ]
    assert [row["found"] for row in target[:2]] == ["told", "read"]
    assert [row["found"] for row in measured[:2]] == ["told", "told"]
    assert target[2]["values"]["litres_per_m2"] == pytest.approx(1.5)


def test_water_names_the_season_or_the_choice() -> None:
    assert reasons(*MAIZE, "--season", "rains")["dose-1-water"][1]["rule"] == "water-rains"
    assert reasons(*MAIZE, "--water-ratio", "4")["dose-1-water"][1]["rule"] == "water-chosen"
    assert reasons(*MAIZE)["dose-1-water"][1]["rule"] == "water-dry"


def test_a_dropped_dose_gives_both_days() -> None:
    found = flat(*MAIZE, "--emerged", "2027-04-14")

    assert (
        "dose 7 comes 56 days after the plants are up on Wed 14 Apr 2027: Wed 9 Jun 2027" in found
    )
    assert "Wed 9 Jun 2027 is after the last day for a dose, Sun 6 Jun 2027" in found


def test_what_finds_no_dose_is_redone() -> None:
    """Kale takes three doses of at most 42.857 L: 128.571 L of 150 L, so 21.429 L find none."""
    found = flat("--crop", "kale", "--planted", "2027-03-15", "--regime", "sold-any")

    assert "doses that may still take some: 3, at most 42.857 L each" in found
    assert "128.571 L of the season's 150.000 L find a dose, so 21.429 L do not" in found
    assert "the rest holds only at 20 degrees or more, and nobody said" in found


def test_sources_are_listed_once_under_the_letters_that_the_reasons_end_in() -> None:
    body, _, listed = text(*MAIZE, "--sealed", "2027-01-03").partition("\nSources\n")
    letters = [line.strip()[1] for line in listed.splitlines() if line.strip().startswith("[")]

    assert letters == sorted(set(letters))
    assert {f"[{letter}]" in body for letter in letters} == {True}
    assert "FAO-56, Table 11, maize (grain)" in listed


@pytest.mark.parametrize(
    "args",
    [
        pytest.param(MAIZE, id="maize"),
        pytest.param((*MAIZE, "--area-m2", "10000", "--water-ratio", "10"), id="large"),
        pytest.param((*MAIZE, "--n-kg-ha", "160", "--soil", "normal"), id="a high target"),
        pytest.param(("--crop", "amaranth", "--planted", "2027-03-15"), id="no dose at sowing"),
    ],
)
def test_every_line_fits_eighty_columns(args: tuple[str, ...]) -> None:
    assert max(len(line) for line in text(*args).splitlines()) <= 80


@pytest.mark.parametrize(
    ("args", "source"),
    [
        pytest.param(
            (*MAIZE, "--n-kg-ha", "250", "--n-g-l", "3"), "toxic from 4 times", id="too much"
        ),
        pytest.param(("--crop", "cowpea", "--planted", "2027-03-15"), "nitrogen", id="legume"),
        pytest.param((*MAIZE, "--area-m2", "0"), "no source", id="area"),
        pytest.param((*MAIZE, "--water-ratio", "1"), "Common practice, no source", id="water"),
        pytest.param(
            (*MAIZE, "--regime", "sold-any", "--store-c", "17"), "WHO 2006", id="cold store"
        ),
        pytest.param((*MAIZE, "--emerged", "2027-03-14"), "named with it", id="dates"),
    ],
)
def test_a_refusal_names_its_source_when_asked(args: tuple[str, ...], source: str) -> None:
    refused = CliRunner().invoke(plan_command, [*args, "--why"])
    plain = CliRunner().invoke(plan_command, [*args])

    said, _, origin = refused.stderr.partition(" Source: ")

    assert (refused.exit_code, plain.exit_code) == (2, 2)
    assert said == plain.stderr.strip()
    assert source in origin


def test_a_refusal_of_an_unknown_crop_has_no_source_to_name() -> None:
    refused = CliRunner().invoke(
        plan_command, ["--crop", "maise", "--planted", "2027-03-15", "--why"]
    )

    assert refused.exit_code == 2
    assert "Source" not in refused.stderr
