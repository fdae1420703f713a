"""Rows of the agronomy group, through the `plan` command where it shows them."""

import json
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from service.agronomy.crops import crop
from service.agronomy.season import SeasonFacts, plan_season
from service.cli.plan import plan_command

MAIZE = ("--crop", "maize-grain", "--planted", "2027-03-15")
EVERY_DAY = [
    "2027-03-15",
    "2027-03-28",
    "2027-04-04",
    "2027-04-11",
    "2027-04-18",
    "2027-05-02",
    "2027-05-16",
]


def plan(*args: str) -> dict[str, Any]:
    result = CliRunner().invoke(plan_command, [*args, "--format", "json"])
    found: dict[str, Any] = json.loads(result.stdout)
    assert result.exit_code == (2 if "refused" in found else 0)
    return found


def due_days(answer: dict[str, Any]) -> list[str]:
    return [dose["due_on"] for dose in answer["doses"]]


def test_a_dose_calendar_follows_from_the_planting() -> None:
    """A1: seven doses of maize, and the last day for one."""
    answer = plan(*MAIZE)

    assert due_days(answer) == EVERY_DAY
    assert (answer["cutoff_on"], answer["cutoff_rule"]) == ("2027-06-06", "share-of-season")
    assert [dose["urine_l"] for dose in answer["doses"]] == [21.429] * 7
    assert (answer["litres_per_m2"], answer["earliest_harvest_on"]) == (1.5, "2027-06-15")


@pytest.mark.parametrize(
    ("asked", "cutoff", "doses"),
    [
        pytest.param(
            "maize-green 80 2027-06-03", "2027-05-04 one-month", 6, id="green maize, the month"
        ),
        pytest.param("cabbage 90 2027-06-13", "2027-05-14 share-of-season", 6, id="cabbage, a tie"),
        pytest.param("okra 55 2027-05-09", "2027-04-09 one-month", 3, id="okra, the month"),
        pytest.param(
            "cassava 210 2027-10-11", "2027-08-02 share-of-season", 7, id="cassava, the share"
        ),
    ],
)
def test_the_earlier_rule_ends_the_doses_and_is_named(asked: str, cutoff: str, doses: int) -> None:
    """A2: share of the season or one month before harvest; tests/checks has all twenty crops."""
    crop_id, season_days, harvest_on = asked.split()
    options = ("--season-days", season_days, "--first-harvest", harvest_on)

    answer = plan("--crop", crop_id, "--planted", "2027-03-15", *options)

    assert f"{answer['cutoff_on']} {answer['cutoff_rule']}" == cutoff
    assert len(answer["doses"]) == doses


def test_an_early_first_pick_ends_the_doses_early() -> None:
    """A2: tomatoes picked from day 70 (from memory) take five doses."""
    answer = plan("--crop", "tomato", "--planted", "2027-03-15")

    assert (answer["first_harvest_on"], answer["cutoff_on"]) == ("2027-05-24", "2027-04-24")
    assert len(answer["doses"]) == 5


def test_late_emergence_moves_drops_and_shares_out() -> None:
    """A3: up on 14 April, six doses hold what seven should have."""
    answer = plan(*MAIZE, "--emerged", "2027-04-14")

    assert due_days(answer) == [
        "2027-03-15",
        "2027-04-21",
        "2027-04-28",
        "2027-05-05",
        "2027-05-12",
        "2027-05-26",
    ]
    assert answer["dropped"] == [{"number": 7, "due_on": "2027-06-09", "reason": "after-cutoff"}]
    assert [dose["urine_l"] for dose in answer["doses"]] == [25.0] * 6


@pytest.mark.parametrize("ratio", ["2", "3.5", "10"])
def test_water_never_changes_the_nitrogen(ratio: str) -> None:
    """A6: the same nitrogen at every dilution."""
    answer = plan(*MAIZE, "--water-ratio", ratio)

    assert answer["n_kg_per_ha"] == plan(*MAIZE, "--season", "rains")["n_kg_per_ha"] == 75


def test_too_little_water_in_the_dry_season_is_refused() -> None:
    """A6: less than two parts of water."""
    assert plan(*MAIZE, "--season", "dry", "--water-ratio", "1")["refused"] == "water"


def test_a_target_over_the_ceiling_is_refused() -> None:
    """A7: 250 kg of nitrogen in weak urine is 8.33 litres a square metre."""
    asked = ("--n-kg-ha", "250", "--n-g-l", "3")

    result = CliRunner().invoke(plan_command, [*MAIZE, *asked])

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("A target of 8.33 litres a square metre is more than the 6")
    assert plan(*MAIZE, *asked)["refused"] == "over-ceiling"


def test_a_high_target_is_warned_of() -> None:
    """A7: over three litres a square metre."""
    assert "over-3-l-per-m2" in plan(*MAIZE, "--n-kg-ha", "151")["warnings"]
    assert "over-3-l-per-m2" not in plan(*MAIZE, "--n-kg-ha", "150")["warnings"]


def test_what_does_not_fit_is_a_shortfall() -> None:
    """A7: three doses hold at most twice their usual share each."""
    answer = plan(*MAIZE, "--first-harvest", "2027-05-10")

    assert [dose["urine_l"] for dose in answer["doses"]] == [42.857] * 3
    assert (answer["shortfall_l"], "shortfall" in answer["warnings"]) == (21.429, True)


def test_topping_up_starts_the_rest_anew() -> None:
    """A8: topped up on day 10 of 30, so sealed anew on it: ready on day 40, not day 30."""
    answer = plan(*MAIZE, "--regime", "general", "--sealed", "2027-01-01", "--sealed", "2027-01-11")

    assert [can["ready_on"] for can in answer["containers"]] == ["2027-01-31", "2027-02-10"]


def test_a_cold_store_is_refused_where_others_eat_the_crop() -> None:
    """A8: six months count only at 20 degrees and above."""
    asked = (*MAIZE, "--sealed", "2026-08-01", "--store-c", "17")

    refused = plan(*asked, "--regime", "sold-any")

    assert refused["refused"] == "cold-store"
    assert "20 degrees" in refused["message"]
    assert any("colder than 20" in text for text in plan(*asked)["cautions"])


def test_two_weeks_are_for_ones_own_household_and_labelled() -> None:
    """A8: common practice, weaker than the published month."""
    asked = (*MAIZE, "--sealed", "2027-03-01", "--regime", "own-household")

    answer = plan(*asked)

    assert answer["containers"][0]["ready_on"] == "2027-03-15"
    assert any("common practice" in text for text in answer["cautions"])


def test_a_late_dose_keeps_five_days_to_the_next() -> None:
    """A10: dose 3, due 4 April, done on 9 April moves doses 4 and 5 and no other."""
    maize = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)

    late = plan_season(replace(maize, given={3: date(2027, 4, 9)}))

    days = [dose.due_on.isoformat() for dose in late.doses]
    assert days[2:5] == ["2027-04-09", "2027-04-14", "2027-04-19"]
    assert days[:2] + days[5:] == EVERY_DAY[:2] + EVERY_DAY[5:]


def test_a_missed_dose_is_not_made_up() -> None:
    """A10: dose 3 not done leaves every other amount as it was."""
    maize = SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100)
    before = plan_season(maize).doses
    told = {dose.number: dose.litres for dose in before[:3]}

    after = plan_season(replace(maize, missed={3: date(2027, 4, 4)}, told_litres=told)).doses

    assert [dose.litres for dose in after] == pytest.approx([dose.litres for dose in before])
    assert [dose.due_on for dose in after] == [dose.due_on for dose in before]


def test_legumes_poor_soil_and_tiny_seed_have_their_own_rules() -> None:
    """A12: none for cowpea, half on salt, no dose at sowing for amaranth."""
    cowpea = plan("--crop", "cowpea", "--planted", "2027-03-15")
    salty = plan(*MAIZE, "--soil", "salty")
    amaranth = plan("--crop", "amaranth", "--planted", "2027-03-15", "--season-days", "90")

    assert (cowpea["refused"], "needs none" in cowpea["message"]) == ("legume", True)
    assert salty["total_urine_l"] == 75
    assert amaranth["dropped"][0] == {
        "number": 1,
        "due_on": "2027-03-15",
        "reason": "no-planting-dose",
    }


def test_the_calculator_needs_no_settings_and_no_database(tmp_path: Path) -> None:
    """A18: in an empty folder, with no settings, it answers and leaves nothing behind."""
    program = (
        "import sys; from service.cli.plan import plan_command;"
        "plan_command.main(sys.argv[1:], standalone_mode=False);"
        "print(sorted({'sqlalchemy', 'sqlite3', 'service.config'} & sys.modules.keys()))"
    )
    root = Path(__file__).resolve().parents[2]

    done = subprocess.run(  # noqa: S603 -- our own interpreter and a program written above
        [sys.executable, "-B", "-c", program, *MAIZE, "--area-m2", "240", "--format", "json"],
        cwd=tmp_path,
        env={"PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )

    answer, opened = done.stdout.rsplit("\n", 2)[:2]
    assert json.loads(answer)["total_urine_l"] == 360
    assert (opened, list(tmp_path.iterdir())) == ("[]", [])
