"""The invented association of the demo is whole, invented, and as varied as the season needs."""

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from service.agronomy.containers import CanEventKind
from service.agronomy.crops import crop
from service.agronomy.regimes import container_ready
from service.intake.entries import Folder
from service.intake.folder import read_folder
from service.intake.rules import Rules
from service.messages.words import read_words
from service.records.engine import Sessions
from tests.unit.intake.folders import store

ROOT = Path(__file__).parents[3]
RULES = Rules(
    test_numbers=frozenset(f"+2551000000{last:02d}" for last in range(1, 100)),
    allowed_countries=("TZ",),
    languages=("en", "sw"),
    words=tuple(read_words(ROOT / "locales" / code / "words.toml") for code in ("en", "sw")),
    today=date(2027, 2, 22),
)
ALLOWED: dict[str, set[object]] = {
    "consents": {"yes", "no", "silent"},
    "answers": {"prompt", "early", "late", "sometimes", "reports-too-late", "never"},
    "applies": {"all", "most", "some"},
    "says_not_done": {True, False},
    "phrases": {"code", "digits", "words", "messy"},
    "tells_sowing": {True, False},
    "tells_emergence": {True, False},
    "comes_up": {"sown", "once-resown"},
    "tells_again": {"never", "same-day", "next-day"},
    "pours_late": {True, False},
    "refills": {True, False},
}
DAYS = {"sows_late_days", "emerges_after_days", "harvests_early_days", "pours_after_days"}
DATES = {"stops_on", "starts_again_on"}
LISTS = {"rain_on", "burns_on", "asks_help_on", "asks_why_on", "seals", "writes"}


@pytest.fixture(scope="module")
def demo() -> Folder:
    """The demo's folder as its start reads it."""
    return read_folder(ROOT / "deploy" / "association", RULES)


@pytest.fixture(scope="module")
def growers() -> dict[str, Any]:
    """The behaviour of the demo's growers."""
    return tomllib.loads((ROOT / "deploy" / "growers.toml").read_text(encoding="utf-8"))


def test_it_goes_in_once(demo: Folder, sessions: Sessions) -> None:
    first = store(sessions, demo)
    second = store(sessions, demo)

    assert len(first.changed_plantings) == len(demo.plantings)
    assert (second.added, second.changed, second.unchanged) == (0, 0, first.added)


def test_it_is_a_ward_of_forty_households(demo: Folder) -> None:
    languages = [home.language for home in demo.households]

    assert (len(demo.households), len(demo.areas)) == (40, 3)
    assert (languages.count("sw"), languages.count("en")) == (28, 12)
    assert len({planting.crop for planting in demo.plantings}) == 6
    assert {home.regime.value for home in demo.households} == {
        "own-household", "general", "sold-processed", "sold-any"
    }  # fmt: skip
    assert sum(home.discreet for home in demo.households) == 13


def test_every_number_is_one_that_nobody_can_have(demo: Folder) -> None:
    numbers = [phone.number for phone in demo.phones] + [demo.associations[0].phone]

    assert set(numbers) <= RULES.test_numbers
    assert len(set(numbers)) == len(numbers)


def test_phones_are_shared_as_in_life(demo: Folder) -> None:
    served = {code for phone in demo.phones for code in phone.households}
    without = [home for home in demo.households if home.code not in served]

    assert sorted(len(phone.households) for phone in demo.phones)[-5:] == [2, 2, 2, 3, 3]
    assert [home.needs_call for home in without] == [True]
    assert sum(home.needs_call for home in demo.households) == 2


def test_most_plantings_find_a_can_ready_and_some_do_not(demo: Folder) -> None:
    regimes = {home.code: home.regime for home in demo.households}
    ready: dict[str, list[date]] = {home.code: [] for home in demo.households}
    for can in demo.containers:
        days = dict(can.happened)
        rests_from = days.get(CanEventKind.REFILLED) or days.get(CanEventKind.SEALED)
        if rests_from is not None:
            found = container_ready(
                rests_from,
                regime=regimes[can.household],
                longer_rest=can.longer_rest,
                store_c=demo.associations[0].store_c,
            )
            ready[can.household] += [found.ready_on] if found.ready_on else []

    late = {
        planting.household
        for planting in demo.plantings
        if min(ready[planting.household], default=date.max) > planting.planted_on
    }

    assert late == {"H04", "H23", "H32", "H34"}


def test_plantings_fall_into_the_season_that_is_played(demo: Folder) -> None:
    days = [planting.planted_on for planting in demo.plantings]
    seasons = [planting.season.value for planting in demo.plantings]

    assert min(days) >= date(2027, 3, 1)
    assert max(days) == date(2027, 3, 29)
    assert 0 < seasons.count("dry") < seasons.count("rains")


def test_every_household_has_a_grower_and_every_key_is_explained(
    demo: Folder, growers: dict[str, Any]
) -> None:
    head = (ROOT / "deploy" / "growers.toml").read_text(encoding="utf-8").split("seed =")[0]
    used = {key for row in growers["households"].values() for key in row} | set(growers["usual"])

    assert list(growers["households"]) == [home.code for home in demo.households]
    assert used <= ALLOWED.keys() | DAYS | DATES | LISTS
    assert all(f"# {key} " in head for key in used)


def test_growers_behave_in_known_ways(growers: dict[str, Any]) -> None:
    for row in (growers["usual"], *growers["households"].values()):
        assert all(row[key] in ALLOWED[key] for key in row.keys() & ALLOWED.keys())
        assert all(type(row[key]) is int for key in row.keys() & DAYS)
        assert all(type(row[key]) is date for key in row.keys() & DATES)
        assert all(isinstance(row[key], list) for key in row.keys() & LISTS)


def test_cans_that_growers_seal_stand_open(demo: Folder, growers: dict[str, Any]) -> None:
    filling = {
        (can.household, can.number)
        for can in demo.containers
        if CanEventKind.SEALED not in dict(can.happened)
    }
    sealed = {
        (code, seal["can"])
        for code, row in growers["households"].items()
        for seal in row.get("seals", [])
    }

    assert sealed
    assert sealed <= filling


def test_the_season_holds_what_may_go_wrong(demo: Folder, growers: dict[str, Any]) -> None:
    homes = {code: growers["usual"] | row for code, row in growers["households"].items()}
    crops = {
        code: [crop(planting.crop) for planting in demo.plantings if planting.household == code]
        for code in homes
    }
    late = [
        code
        for code, row in homes.items()
        if any(
            row.get("emerges_after_days", 0) >= found.emergence_days + 7 for found in crops[code]
        )
    ]

    assert sum(row["answers"] == "never" for row in homes.values()) >= 3
    assert sum(row["answers"] == "reports-too-late" for row in homes.values()) == 1
    assert sum(row["consents"] != "yes" for row in homes.values()) == 2
    assert len(late) >= 4
    for key in ("stops_on", "harvests_early_days", "rain_on", "writes", "asks_help_on", "seals"):
        assert any(key in row for row in homes.values())
