"""What a planting's facts say, whatever the order they came in."""

from datetime import UTC, date, datetime

import pytest

from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Hold, Soil
from service.planning.season_facts import read_facts, season_facts
from service.records.fields import (
    DoseRow,
    DoseState,
    FactKind,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.locality_book import LocalityBook
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle

NOW = datetime(2027, 3, 1, tzinfo=UTC)
SOWN = date(2027, 3, 15)
BOOK = LocalityBook(holds=(), spans=(), values=(), store_c={3: 24})


def fact(kind: FactKind, on: date, number: int | None = None) -> PlantingFactRow:
    return PlantingFactRow(
        kind=kind, on=on, dose_number=number, source=Source.TEXT, recorded_at=NOW
    )


def a_dose(number: int, due_on: date, state: DoseState, *, told: bool = False) -> DoseRow:
    return DoseRow(number=number, due_on=due_on, state=state, urine_l=20, told=told)


def a_bundle(*facts: PlantingFactRow, doses: tuple[DoseRow, ...] = ()) -> PlantingBundle:
    return PlantingBundle(
        planting=PlantingRow(
            crop="maize-grain",
            planted_on=SOWN,
            season=Season.DRY,
            water_ratio=2,
            litres_per_m2=1.5,
        ),
        plot=PlotRow(letter="A", area_m2=100, soil=Soil.SALTY),
        household=HouseholdRow(id=1, area_id=3, regime=Regime.GENERAL),
        book=BOOK,
        facts=facts,
        holds=(HoldRow(first_on=date(2027, 3, 20), last_on=date(2027, 3, 22)),),
        doses=doses,
    )


def test_without_facts_the_planting_stands_as_it_was_enrolled() -> None:
    reports = read_facts(a_bundle())

    assert (reports.planted_on, reports.sown_told, reports.emerged_on) == (SOWN, False, None)
    assert (reports.given, reports.not_done, reports.not_ready) == ({}, frozenset(), frozenset())
    assert reports.harvested_on is None


def test_the_latest_day_of_sowing_emergence_and_harvest_stands() -> None:
    reports = read_facts(
        a_bundle(
            fact(FactKind.SOWN, date(2027, 3, 16)),
            fact(FactKind.EMERGED, date(2027, 3, 24)),
            fact(FactKind.SOWN, date(2027, 3, 18)),
            fact(FactKind.EMERGED, date(2027, 3, 26)),
            fact(FactKind.HARVESTED, date(2027, 8, 1)),
            fact(FactKind.HARVESTED, date(2027, 8, 3)),
        )
    )

    assert (reports.planted_on, reports.sown_told) == (date(2027, 3, 18), True)
    assert (reports.emerged_on, reports.harvested_on) == (date(2027, 3, 26), date(2027, 8, 3))


def test_an_emergence_before_the_sowing_told_since_no_longer_counts() -> None:
    reports = read_facts(
        a_bundle(fact(FactKind.EMERGED, date(2027, 3, 20)), fact(FactKind.SOWN, date(2027, 3, 21)))
    )

    assert reports.emerged_on is None


def test_the_first_report_of_a_dose_stands() -> None:
    reports = read_facts(
        a_bundle(
            fact(FactKind.APPLIED, date(2027, 3, 15), 1),
            fact(FactKind.SECOND_REPORT, date(2027, 3, 17), 1),
            fact(FactKind.APPLIED, date(2027, 3, 18), 1),
            fact(FactKind.BURNT, date(2027, 3, 19)),
        )
    )

    assert reports.given == {1: date(2027, 3, 15)}


@pytest.mark.parametrize(
    ("kinds", "given", "not_done"),
    [
        pytest.param([FactKind.NOT_APPLIED], False, True, id="not done"),
        pytest.param([FactKind.NOT_APPLIED, FactKind.APPLIED], True, False, id="then done"),
        pytest.param([FactKind.APPLIED, FactKind.NOT_APPLIED], True, False, id="done, then denied"),
    ],
)
def test_done_outweighs_not_done(kinds: list[FactKind], *, given: bool, not_done: bool) -> None:
    reports = read_facts(a_bundle(*[fact(kind, SOWN, 1) for kind in kinds]))

    assert (1 in reports.given, 1 in reports.not_done) == (given, not_done)


def test_a_dose_given_after_all_was_not_without_a_ready_can() -> None:
    reports = read_facts(
        a_bundle(
            fact(FactKind.NOT_READY, date(2027, 3, 21), 1),
            fact(FactKind.NOT_READY, date(2027, 4, 3), 2),
            fact(FactKind.APPLIED, date(2027, 3, 20), 1),
        )
    )

    assert reports.not_ready == {2}


def test_the_plan_is_asked_with_all_that_the_planting_holds() -> None:
    facts = season_facts(a_bundle(fact(FactKind.NOT_READY, date(2027, 3, 21), 1)))

    assert (facts.crop.id, facts.planted_on, facts.area_m2) == ("maize-grain", SOWN, 100)
    assert (facts.litres_per_m2, facts.water_ratio, facts.soil) == (1.5, 2, Soil.SALTY)
    assert facts.holds == (Hold(first_on=date(2027, 3, 20), last_on=date(2027, 3, 22)),)
    assert facts.not_ready == {1}


def test_closed_doses_keep_their_day_and_told_ones_their_litres() -> None:
    facts = season_facts(
        a_bundle(
            fact(FactKind.APPLIED, date(2027, 3, 16), 1),
            doses=(
                a_dose(1, date(2027, 3, 16), DoseState.DONE),
                a_dose(2, date(2027, 3, 28), DoseState.NOT_KNOWN),
                a_dose(3, date(2027, 4, 4), DoseState.NOT_DONE),
                a_dose(4, date(2027, 4, 11), DoseState.PLANNED, told=True),
                a_dose(5, date(2027, 4, 18), DoseState.PLANNED),
                a_dose(6, date(2027, 5, 2), DoseState.DROPPED),
            ),
        )
    )

    assert facts.given == {1: date(2027, 3, 16)}
    assert facts.missed == {2: date(2027, 3, 28), 3: date(2027, 4, 4)}
    assert set(facts.told_litres) == {1, 2, 3, 4}


@pytest.mark.parametrize(
    ("dose", "facts", "missed"),
    [
        pytest.param(
            a_dose(2, date(2027, 3, 28), DoseState.NOT_KNOWN), [], False, id="before they were up"
        ),
        pytest.param(
            a_dose(2, date(2027, 4, 2), DoseState.NOT_KNOWN), [], True, id="after they were up"
        ),
        pytest.param(
            a_dose(1, SOWN, DoseState.NOT_KNOWN), [], True, id="the planting dose needs no plants"
        ),
        pytest.param(
            a_dose(2, date(2027, 3, 28), DoseState.NOT_DONE),
            [fact(FactKind.NOT_APPLIED, date(2027, 3, 28), 2)],
            True,
            id="told as not done",
        ),
    ],
)
def test_a_dose_told_for_a_day_before_the_plants_were_up_was_not_due_at_all(
    dose: DoseRow, facts: list[PlantingFactRow], *, missed: bool
) -> None:
    up = fact(FactKind.EMERGED, date(2027, 4, 1))

    found = season_facts(a_bundle(up, *facts, doses=(dose,)))

    assert (dose.number in found.missed) is missed
