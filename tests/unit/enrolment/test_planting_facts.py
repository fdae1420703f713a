"""What may be planted, when, and with how much."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.cutoff import CutoffRule
from service.agronomy.dosing import Season
from service.agronomy.season import Soil, plan_season
from service.agronomy.watering import SeasonSpan
from service.enrolment.entries import PlantingEntry
from service.enrolment.faults import FaultCode
from service.enrolment.planting_facts import Ground, check_planting, facts_of
from tests.unit.enrolment.table import MAIZE, TODAY

GROUND = Ground(area_m2=100, soil=Soil.NORMAL)
TOMATO = PlantingEntry(
    crop="tomato",
    planted_on=date(2027, 3, 1),
    season=Season.RAINS,
    first_harvest_days=70,
)


def faults(entry: PlantingEntry, *, soil: Soil = Soil.NORMAL) -> list[tuple[str, str]]:
    found = check_planting(entry, ground=Ground(area_m2=100, soil=soil), today=TODAY)
    return [(fault.field, fault.code.value) for fault in found]


def test_tomatoes_picked_from_day_seventy_get_no_dose_after_day_forty() -> None:
    """E7: 70 - 30 = 40, and the one-month rule binds (reference table of doses kept: 5 of 7)."""
    assert faults(TOMATO) == []
    plan = plan_season(facts_of(TOMATO, ground=GROUND))

    assert plan.first_harvest_on == date(2027, 5, 10)
    assert plan.cutoff_on == date(2027, 4, 10)
    assert plan.cutoff_rule is CutoffRule.ONE_MONTH


def test_blanks_mean_what_is_usual() -> None:
    rains = facts_of(MAIZE, ground=GROUND)
    dry = facts_of(replace(MAIZE, season=Season.DRY), ground=GROUND)

    assert (rains.litres_per_m2, rains.water_ratio, dry.water_ratio) == (1.5, 0, 2)
    assert (rains.first_harvest_on, rains.season_days, rains.transplanted) == (None, None, None)


@pytest.mark.parametrize(
    ("changes", "refused"),
    [
        ({"crop": "moonflower"}, [("crop", "unknown-crop")]),
        ({"crop": "dry-bean"}, [("crop", "legume")]),
        ({"crop": "rice-transplanted"}, [("drained", "waterlogged")]),
        ({"season": Season.DRY, "water_ratio": 1}, [("water_ratio", "water")]),
        ({"water_ratio": 11}, [("water_ratio", "water")]),
        ({"litres_per_m2": 6.5}, [("litres_per_m2", "over-ceiling")]),
        ({"litres_per_m2": 0}, [("litres_per_m2", "out-of-range")]),
        ({"season_days": 19}, [("season_days", "out-of-range")]),
        ({"season_days": 120.5}, [("season_days", "whole-number")]),
        ({"row_cm": 4, "plant_cm": 0}, [("row_cm", "out-of-range"), ("plant_cm", "out-of-range")]),
        ({"planted_on": date(2029, 3, 15)}, [("planted_on", "years-away")]),
        (
            {"first_harvest_on": date(2027, 3, 15)},
            [("first_harvest_on", "picked-before-planted")],
        ),
        ({"first_harvest_days": 126}, [("first_harvest_days", "picked-after-season")]),
        (
            {"first_harvest_on": date(2027, 6, 1), "first_harvest_days": 70},
            [("first_harvest_days", "both-given")],
        ),
        ({"emerged_on": date(2027, 2, 19)}, [("emerged_on", "up-before-planted")]),
        (
            {"planted_on": date(2027, 2, 15), "emerged_on": date(2027, 2, 21)},
            [("emerged_on", "not-yet")],
        ),
        (
            {
                "planted_on": date(2027, 1, 1),
                "first_harvest_on": date(2027, 2, 1),
                "emerged_on": date(2027, 2, 2),
            },
            [("emerged_on", "up-after-picked")],
        ),
    ],
    ids=[
        "no such crop",
        "legume",
        "paddy",
        "dry and strong",
        "too much water",
        "too much",
        "nothing",
        "short season",
        "half days",
        "too dense",
        "years ahead",
        "picked at planting",
        "picked after the season",
        "two first pickings",
        "up before",
        "up tomorrow",
        "up after picking",
    ],
)
def test_a_planting_that_cannot_be_is_refused_at_its_field(
    changes: dict[str, object], refused: list[tuple[str, str]]
) -> None:
    entry = replace(MAIZE, **changes)  # type: ignore[arg-type]  # -- each row names its own fields

    assert faults(entry) == refused


def test_rice_is_planted_where_a_person_has_seen_drained_ground() -> None:
    assert faults(replace(MAIZE, crop="rice-transplanted", drained=True)) == []


def test_the_same_first_picking_told_twice_is_taken() -> None:
    assert faults(replace(TOMATO, first_harvest_on=date(2027, 5, 10))) == []


def test_poor_soil_has_the_same_limit_on_what_is_typed() -> None:
    """The target is halved before it meets its halved limit: 6 L are taken, 6.5 L are not."""
    assert faults(replace(MAIZE, litres_per_m2=6), soil=Soil.SALTY) == []
    assert faults(replace(MAIZE, litres_per_m2=6.5), soil=Soil.SALTY) == [
        ("litres_per_m2", "over-ceiling")
    ]


def test_a_perennial_may_be_planted_where_the_rains_are_known() -> None:
    coffee = replace(MAIZE, crop="coffee", season_days=None)
    rains = SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 5, 31))

    without = check_planting(coffee, ground=GROUND, today=TODAY)
    with_rains = check_planting(coffee, ground=replace(GROUND, spans=(rains,)), today=TODAY)

    assert [fault.code for fault in without] == [FaultCode.PERENNIAL]
    assert with_rains == ()


def test_a_legume_is_refused_in_the_rains_too() -> None:
    rains = SeasonSpan(season=Season.RAINS, first_on=date(2027, 3, 1), last_on=date(2027, 5, 31))
    cowpea = replace(MAIZE, crop="cowpea")

    faults = check_planting(cowpea, ground=replace(GROUND, spans=(rains,)), today=TODAY)

    assert [fault.code for fault in faults] == [FaultCode.LEGUME]
