"""The calculator's command: answers, warnings and refusals."""

import json
from typing import Any

import pytest
from click.testing import CliRunner, Result

from service.cli.plan import plan_command

MAIZE = ("--crop", "maize-grain", "--planted", "2027-03-15")


def run(*args: str) -> Result:
    return CliRunner().invoke(plan_command, [*args])


def answer(*args: str) -> dict[str, Any]:
    result = run(*args, "--format", "json")
    assert (result.exit_code, result.stderr) == (0, "")
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_the_answer_has_its_keys_in_their_order() -> None:
    found = answer(*MAIZE, "--sealed", "2027-01-31")

    assert list(found) == [
        "crop",
        "planted_on",
        "emerged_on",
        "emergence_assumed",
        "season_days",
        "first_harvest_on",
        "cutoff_on",
        "cutoff_rule",
        "doses",
        "dropped",
        "containers",
        "total_urine_l",
        "litres_per_m2",
        "n_kg_per_ha",
        "shortfall_l",
        "earliest_harvest_on",
        "warnings",
        "cautions",
    ]
    assert list(found["doses"][0]) == [
        "number",
        "due_on",
        "urine_l",
        "water_l",
        "urine_ml_per_plant",
    ]
    assert found["containers"] == [{"sealed_on": "2027-01-31", "ready_on": "2027-03-02"}]


def test_amounts_have_three_decimals() -> None:
    found = answer(*MAIZE)

    assert found["doses"][0] == {
        "number": 1,
        "due_on": "2027-03-15",
        "urine_l": 21.429,
        "water_l": 42.857,
        "urine_ml_per_plant": 40.179,
    }
    assert (found["total_urine_l"], found["litres_per_m2"], found["n_kg_per_ha"]) == (150, 1.5, 75)


def test_all_plants_together_take_the_whole_dose() -> None:
    """Maize at 75 by 25 cm: 533 plants on 100 square metres."""
    found = answer(*MAIZE)

    assert found["doses"][0]["urine_ml_per_plant"] * 533 / 1000 == pytest.approx(21.4, abs=0.1)


@pytest.mark.parametrize(
    ("args", "warnings"),
    [
        pytest.param((), ["regime-assumed"], id="nobody said who eats it"),
        pytest.param(("--regime", "general"), [], id="own food"),
        pytest.param(("--regime", "sold-any"), ["store-unknown"], id="sold, store unknown"),
        pytest.param(("--regime", "sold-any", "--store-c", "20"), [], id="sold, store warm"),
        pytest.param(
            ("--n-kg-ha", "160", "--regime", "general"), ["over-3-l-per-m2"], id="a high target"
        ),
        pytest.param(
            ("--first-harvest", "2027-04-20", "--regime", "general"),
            ["shortfall"],
            id="too few doses",
        ),
        pytest.param(
            ("--first-harvest", "2027-04-10"),
            ["shortfall", "no-dose-fits", "regime-assumed"],
            id="no dose",
        ),
    ],
)
def test_warnings_are_codes_in_a_fixed_order(args: tuple[str, ...], warnings: list[str]) -> None:
    assert answer(*MAIZE, *args)["warnings"] == warnings


def test_without_a_dose_nothing_has_to_wait_for_harvest() -> None:
    found = answer(*MAIZE, "--first-harvest", "2027-04-10")

    assert (found["doses"], found["earliest_harvest_on"]) == ([], None)
    assert (found["total_urine_l"], found["shortfall_l"]) == (0, 150)


@pytest.mark.parametrize(
    ("args", "water_l"),
    [
        pytest.param(("--season", "rains"), 0, id="rains"),
        pytest.param(("--season", "dry"), 42.857, id="dry"),
        pytest.param(("--season", "rains", "--water-ratio", "1"), 21.429, id="chosen in the rains"),
        pytest.param(("--water-ratio", "10"), 214.286, id="as much as may be"),
        pytest.param((), 42.857, id="dry unless said"),
    ],
)
def test_water_follows_the_season(args: tuple[str, ...], water_l: float) -> None:
    assert answer(*MAIZE, *args)["doses"][0]["water_l"] == water_l


def test_an_exact_fraction_floors_rightly() -> None:
    """Seven tenths of 130 days are 91 days, where binary fractions say 90."""
    found = answer(*MAIZE, "--season-days", "130", "--fraction", "7/10")

    assert found["cutoff_on"] == "2027-06-14"


def test_several_cans_are_answered_in_turn() -> None:
    found = answer(
        *MAIZE, "--regime", "own-household", "--sealed", "2027-03-01", "--sealed", "2027-02-20"
    )

    assert [can["ready_on"] for can in found["containers"]] == ["2027-03-15", "2027-03-06"]


REFUSALS = [
    ("no crop of that name", "unknown-crop", ("--crop", "maise", "--planted", "2027-03-15")),
    ("legume", "legume", ("--crop", "cowpea", "--planted", "2027-03-15")),
    ("perennial", "perennial", ("--crop", "banana", "--planted", "2027-03-15")),
    ("paddy", "waterlogged", ("--crop", "rice-transplanted", "--planted", "2027-03-15")),
    ("up too early", "dates", (*MAIZE, "--emerged", "2027-03-14")),
    ("harvest too early", "dates", (*MAIZE, "--first-harvest", "2027-03-01")),
    ("harvest too late", "dates", (*MAIZE, "--first-harvest", "2027-07-19")),
    ("sealed too late", "dates", (*MAIZE, "--sealed", "2028-01-31")),
    ("far year", "dates", ("--crop", "maize-grain", "--planted", "9999-12-31")),
    ("no area", "area", (*MAIZE, "--area-m2", "0")),
    ("area no number", "area", (*MAIZE, "--area-m2", "nan")),
    ("no nitrogen", "nitrogen", (*MAIZE, "--n-kg-ha", "0")),
    ("no content", "nitrogen", (*MAIZE, "--n-g-l", "0")),
    ("too little water", "water", (*MAIZE, "--water-ratio", "1")),
    ("too much water", "water", (*MAIZE, "--season", "rains", "--water-ratio", "11")),
    ("too much", "over-ceiling", (*MAIZE, "--n-kg-ha", "301")),
    ("too much for salt", "over-ceiling", (*MAIZE, "--n-kg-ha", "301", "--soil", "salty")),
    ("cold", "cold-store", (*MAIZE, "--regime", "sold-any", "--store-c", "19.9")),
    ("no option given", "usage", ()),
    ("unknown option", "usage", (*MAIZE, "--plot", "A")),
    ("no date", "usage", ("--crop", "maize-grain", "--planted", "15.3.2027")),
    ("no such day", "usage", ("--crop", "maize-grain", "--planted", "2027-02-30")),
    ("week date", "usage", ("--crop", "maize-grain", "--planted", "2027-W11-1")),
    ("fraction too small", "usage", (*MAIZE, "--fraction", "0.66")),
    ("fraction too large", "usage", (*MAIZE, "--fraction", "4/5")),
    ("fraction of nothing", "usage", (*MAIZE, "--fraction", "2/0")),
    ("no fraction", "usage", (*MAIZE, "--fraction", "most")),
    ("no season", "usage", (*MAIZE, "--season-days", "0")),
    ("unknown regime", "usage", (*MAIZE, "--regime", "sold")),
]


@pytest.mark.parametrize(
    ("code", "args"), [pytest.param(code, args, id=name) for name, code, args in REFUSALS]
)
def test_a_refusal_is_one_sentence_and_a_code(code: str, args: tuple[str, ...]) -> None:
    result = run(*args, "--format", "json")

    refused = json.loads(result.stdout)
    assert (result.exit_code, list(refused)) == (2, ["refused", "message"])
    assert refused["refused"] == code
    assert result.stderr == refused["message"] + "\n"
    assert "Usage:" not in result.stderr


def test_a_refusal_as_text_leaves_standard_output_empty() -> None:
    result = run(*MAIZE, "--water-ratio", "1")

    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.count("\n") == 1
    assert "at least 2 parts of water" in result.stderr


def test_a_legume_is_told_that_it_needs_none() -> None:
    result = run("--crop", "cowpea", "--planted", "2027-03-15")

    assert "needs none" in result.stderr


def test_drained_rice_is_planned() -> None:
    found = answer("--crop", "rice-transplanted", "--planted", "2027-03-15", "--drained")

    assert (len(found["doses"]), found["dropped"]) == (7, [])


def test_a_half_litre_target_is_halved_by_dry_soil() -> None:
    found = answer(*MAIZE, "--soil", "dry", "--n-kg-ha", "50", "--n-g-l", "5")

    assert (found["litres_per_m2"], found["n_kg_per_ha"]) == (0.5, 25)


def test_the_extension_officer_has_the_last_word() -> None:
    assert answer(*MAIZE)["cautions"][-1] == (
        "The local extension officer's advice overrides this plan."
    )


@pytest.mark.parametrize(
    ("args", "words"),
    [
        pytest.param((*MAIZE, "--store-c", "17"), "colder than 20", id="cold store, own food"),
        pytest.param((*MAIZE, "--soil", "salty"), "only half", id="salt"),
        pytest.param((*MAIZE, "--regime", "sold-processed"), "the buyer", id="sold"),
        pytest.param((*MAIZE, "--regime", "own-household"), "Two weeks", id="two weeks"),
        pytest.param(("--crop", "onion", "--planted", "2027-03-15"), "raw", id="raw"),
        pytest.param(("--crop", "amaranth", "--planted", "2027-03-15"), "at sowing", id="tiny"),
    ],
)
def test_cautions_follow_the_request(args: tuple[str, ...], words: str) -> None:
    plain = " ".join(answer(*MAIZE, "--regime", "general")["cautions"])

    said = " ".join(answer(*args)["cautions"])

    assert words in said
    assert words not in plain


def test_help_is_shown_on_request() -> None:
    result = run("--help")

    assert result.exit_code == 0
    assert "--planted" in result.stdout
