"""The calculator's answer for people."""

import pytest
from click.testing import CliRunner

from service.cli.plan import plan_command

MAIZE = ("--crop", "maize-grain", "--planted", "2027-03-15")
KALE = ("--crop", "kale", "--planted", "2027-03-15", "--regime", "sold-any")


def lines(*args: str) -> list[str]:
    result = CliRunner().invoke(plan_command, [*args])
    assert (result.exit_code, result.stderr) == (0, "")
    return result.stdout.splitlines()


@pytest.mark.parametrize(
    "args",
    [
        pytest.param(MAIZE, id="maize"),
        pytest.param((*MAIZE, "--area-m2", "10000", "--water-ratio", "10"), id="large"),
        pytest.param((*KALE, "--sealed", "2026-08-01"), id="kale, sold"),
        pytest.param(("--crop", "amaranth", "--planted", "2027-03-15"), id="no dose"),
    ],
)
def test_every_line_fits_eighty_columns(args: tuple[str, ...]) -> None:
    assert max(len(line) for line in lines(*args)) <= 80


def test_days_carry_their_weekday_and_urine_stands_apart_from_water() -> None:
    found = lines(*MAIZE)

    assert "Dose  Day               Litres of urine  Litres of water  Urine ml a plant" in found
    assert "   1  Mon 15 Mar 2027           21.429           42.857              40.2" in found
    assert "In all                         150.000          300.000" in found


def test_the_heading_says_what_rules_the_season() -> None:
    found = lines(*MAIZE)

    assert "Planted        Mon 15 Mar 2027" in found
    assert "Plants up      Sun 21 Mar 2027  (assumed: plan again with the real day)" in found
    assert "First harvest  Sun 18 Jul 2027  (season of 125 days)" in found
    assert "Last day       Sun  6 Jun 2027  (by the share of the season)" in found
    assert "Harvest from   Tue 15 Jun 2027  (30 days after the last dose, never earlier)" in found


def test_a_dropped_dose_says_why() -> None:
    found = lines(*MAIZE, "--emerged", "2027-04-14")

    assert "   7  Wed  9 Jun 2027  it falls after the last day" in found
    assert "Plants up      Wed 14 Apr 2027  (reported)" in found


def test_what_finds_no_dose_is_said() -> None:
    found = lines(*KALE)

    assert "      21.429 L of the 150.000 L wanted find no dose." in found
    assert "Last day       Sun  4 Apr 2027  (one month before the first harvest)" in found


def test_a_can_says_when_it_is_ready() -> None:
    found = lines(*KALE, "--sealed", "2026-08-01")

    assert "Cans rest 183 days (sold-any)" in found
    assert "      sealed Sat  1 Aug 2026, ready Sun 31 Jan 2027" in found
    assert any(line.startswith("Warning: The store's temperature is not known") for line in found)


def test_two_weeks_are_labelled_as_common_practice() -> None:
    assert "Cans rest 14 days (own-household, common practice)" in lines(
        *MAIZE, "--regime", "own-household"
    )


def test_without_a_dose_no_table_and_no_safe_harvest_is_shown() -> None:
    found = lines("--crop", "amaranth", "--planted", "2027-03-15")

    assert not [line for line in found if line.startswith(("Harvest from", "Dose"))]
    assert "   1  Mon 15 Mar 2027  this seed takes no dose at sowing" in found
