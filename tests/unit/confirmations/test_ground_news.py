"""Corrections of a plot, decisions about risky ground, and who eats one crop.

Maize on plot A, planned for 15 March: seven doses; 100 m² at 1.5 L make 150 L in the season.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import TypeVar

import pytest

from service.agronomy.changes import ChangeKind, changes
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.confirmations.crop_turns import confirm_failed
from service.confirmations.doses import confirm_done
from service.confirmations.ground_news import (
    correct_area,
    correct_soil,
    decide_site,
    set_eaters,
    tell_site,
    withdraw_site,
)
from service.confirmations.outcomes import Desk, NeedsReading
from service.confirmations.staff_outcomes import (
    AreaCorrected,
    EatersSet,
    SiteDecided,
    SiteTold,
    SiteWithdrawn,
    SoilCorrected,
)
from service.records.fields import DoseRow, DoseState, PlantingRow, PlotRow
from service.records.people import AuditRow
from service.records.site import Hazard, hazards_of, kept_hazards, waits_for_decision
from service.records.tasks import Task, open_task
from service.records.traffic import CallTaskRow, TaskKind
from tests.world import Enrolled, World, doses, enrol
from tests.world_facts import another_plot, by_call
from tests.world_looks import calls, rows

Told = TypeVar("Told")


def by_neema(world: World, step: Callable[[Desk], Told]) -> Told:
    return by_call(world, lambda desk: step(replace(desk, noted_by="Neema Test")))


def audits(world: World) -> list[tuple[str, str, object, object]]:
    return [
        (row.who, row.what, row.detail["before"], row.detail["after"])
        for row in rows(world, AuditRow)
        if "before" in row.detail
    ]


def plot(world: World) -> PlotRow:
    return rows(world, PlotRow)[0]


def litres(world: World, home: Enrolled) -> list[float]:
    return [row.urine_l for row in doses(world, home)]


def standing(world: World, home: Enrolled) -> set[tuple[DoseState, str | None]]:
    return {(row.state, row.reason) for row in doses(world, home)}


def risky(world: World, home: Enrolled, *hazards: Hazard) -> SiteTold:
    return by_neema(world, lambda desk: tell_site(desk, home.plot_id, hazards))


def decided(world: World, home: Enrolled, why: str) -> SiteDecided | NeedsReading:
    return by_neema(world, lambda desk: decide_site(desk, home.plot_id, why=why))


def test_a_corrected_area_changes_what_is_not_given_yet_and_is_written_down(world: World) -> None:
    """80 m² take 120 L: dose 1 had 21 L, so the six left share 99 L, 16.5 L each."""
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    by_neema(world, lambda desk: confirm_done(desk, home.planting_id, 1, on=desk.today))

    outcome = by_neema(
        world,
        lambda desk: correct_area(desk, home.plot_id, area_m2=80, measured="10 x 8 paces"),
    )

    assert isinstance(outcome, AreaCorrected)
    assert (outcome.before_m2, outcome.after_m2) == (100, 80)
    assert litres(world, home) == [21] + [16.5] * 6
    assert (plot(world).area_m2, plot(world).measured) == (80, "10 x 8 paces")
    assert audits(world) == [("Neema Test", "area corrected", 100, 80)]
    (plan,) = outcome.plans
    found = changes(plan.before, plan.after)
    assert [change.number for change in found] == [2, 3, 4, 5, 6, 7]
    assert {change.kind for change in found} == {ChangeKind.LITRES}


@pytest.mark.parametrize("area_m2", [0.5, 10_001, -3])
def test_an_area_that_no_plot_has_is_refused(world: World, area_m2: float) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    outcome = by_neema(
        world, lambda desk: correct_area(desk, home.plot_id, area_m2=area_m2, measured="")
    )

    assert outcome == NeedsReading(hint="no such area")
    assert plot(world).area_m2 == 100
    assert audits(world) == []


def test_the_same_area_told_again_is_no_news(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    by_neema(world, lambda desk: correct_area(desk, home.plot_id, area_m2=100, measured=""))

    assert audits(world) == []


def test_salty_soil_bears_half(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    outcome = by_neema(world, lambda desk: correct_soil(desk, home.plot_id, Soil.SALTY))

    assert isinstance(outcome, SoilCorrected)
    assert [plan.after.target_litres for plan in outcome.plans] == [75]
    assert audits(world) == [("Neema Test", "soil corrected", "normal", "salty")]


def test_a_plot_at_risk_gets_nothing_until_somebody_decides(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    told = risky(world, home, Hazard.STEEP, Hazard.FLOODS)
    closed = standing(world, home)
    outcome = decided(world, home, " terraced last year ")

    assert told.hazards == (Hazard.STEEP, Hazard.FLOODS)
    assert closed == {(DoseState.DROPPED, "site")}
    assert isinstance(outcome, SiteDecided)
    assert standing(world, home) == {(DoseState.PLANNED, None)}
    kept = plot(world)
    assert (kept.site_ok_by, kept.site_ok_why) == ("Neema Test", "terraced last year")
    assert kept.site_ok_at == world.clock()
    assert [row[1:] for row in audits(world)] == [
        ("site told", None, "steep,floods"),
        ("site decided", "steep,floods", "may be used"),
    ]


def test_a_plot_asked_about_without_a_risk_needs_no_decision(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    told = risky(world, home)

    assert told.hazards == ()
    assert plot(world).hazards == ""
    assert standing(world, home) == {(DoseState.PLANNED, None)}
    assert decided(world, home, "why not") == NeedsReading(
        hint="nothing to decide about the ground"
    )


def test_a_decision_needs_a_reason_and_the_first_one_stands(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    risky(world, home, Hazard.STEEP)

    blank = decided(world, home, "  ")
    decided(world, home, "terraced last year")
    decided(world, home, "another reason")

    assert blank == NeedsReading(hint="a decision without a reason")
    assert plot(world).site_ok_why == "terraced last year"
    assert [row[1] for row in audits(world)] == ["site told", "site decided"]


def test_a_decision_taken_back_closes_the_ground_again(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    risky(world, home, Hazard.OPEN_WATER)
    decided(world, home, "a fence stands there")

    outcome = by_neema(world, lambda desk: withdraw_site(desk, home.plot_id))
    again = by_neema(world, lambda desk: withdraw_site(desk, home.plot_id))

    assert isinstance(outcome, SiteWithdrawn)
    assert again == NeedsReading(hint="no decision to take back")
    assert standing(world, home) == {(DoseState.DROPPED, "site")}
    assert plot(world).site_ok_by is None


def test_a_decision_taken_back_is_asked_for_again(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    risky(world, home, Hazard.OPEN_WATER)
    world.tick("2027-03-11T12:00")
    decided(world, home, "a fence stands there")
    assert calls(world, TaskKind.SITE) == []

    by_neema(world, lambda desk: withdraw_site(desk, home.plot_id))
    world.tick("2027-03-12T12:00")

    (task,) = calls(world, TaskKind.SITE)
    assert task.planting_id == home.planting_id


def test_a_decision_on_other_risks_does_not_stand(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    risky(world, home, Hazard.STEEP)
    decided(world, home, "terraced last year")

    risky(world, home, Hazard.STEEP)
    same = waits_for_decision(plot(world))
    risky(world, home, Hazard.STEEP, Hazard.FLOODS)

    assert not same
    assert waits_for_decision(plot(world))
    assert standing(world, home) == {(DoseState.DROPPED, "site")}


def test_a_decision_closes_the_call_for_it_on_that_plot_alone(world: World) -> None:
    home = enrol(world)
    other = another_plot(world, home, letter="D")
    world.tick("2027-03-10T12:00")
    risky(world, home, Hazard.STEEP)
    with world.services.sessions.begin() as session:
        for planting_id in (home.planting_id, other.planting_id):
            task = Task(kind=TaskKind.SITE, key=f"test:{planting_id}", planting_id=planting_id)
            open_task(session, 1, task, now=world.clock())

    decided(world, home, "terraced last year")

    found = {
        row.planting_id: row.outcome
        for row in rows(world, CallTaskRow)
        if row.key.startswith("site:test:")
    }
    assert found == {home.planting_id: "decided", other.planting_id: None}


def test_who_eats_one_crop_decides_which_cans_serve_it(world: World) -> None:
    """Sealed on 10 January: ready after 30 days for the household, after 183 for what is sold."""
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    outcome = by_neema(world, lambda desk: set_eaters(desk, home.planting_id, Regime.SOLD_ANY))
    world.tick("2027-03-14T12:00")
    sold = [row.urine_l for row in rows(world, DoseRow)[:1]]
    by_neema(world, lambda desk: set_eaters(desk, home.planting_id, None))

    assert isinstance(outcome, EatersSet)
    assert sold == [0]
    assert litres(world, home)[0] > 0
    assert [row.regime for row in rows(world, PlantingRow)] == [None]
    assert [row[1:] for row in audits(world)] == [
        ("eaters set", None, "sold-any"),
        ("eaters set", "sold-any", None),
    ]


def test_who_eats_a_closed_crop_is_not_noted(world: World) -> None:
    home = enrol(world)
    world.tick("2027-03-20T12:00")
    by_neema(world, lambda desk: confirm_failed(desk, home.planting_id, on=date(2027, 3, 20)))

    outcome = by_neema(world, lambda desk: set_eaters(desk, home.planting_id, Regime.GENERAL))

    assert outcome == NeedsReading(hint="the planting is over")


@pytest.mark.parametrize(
    ("hazards", "kept", "read"),
    [
        pytest.param(None, None, None, id="not asked"),
        pytest.param((), "", (), id="asked and none"),
        pytest.param((Hazard.OPEN_WATER,), "open-water", (Hazard.OPEN_WATER,), id="one"),
        pytest.param(
            (Hazard.OPEN_WATER, Hazard.STEEP),
            "steep,open-water",
            (Hazard.STEEP, Hazard.OPEN_WATER),
            id="two, in one order",
        ),
    ],
)
def test_what_is_risky_is_kept_and_read_again(
    hazards: tuple[Hazard, ...] | None, kept: str | None, read: tuple[Hazard, ...] | None
) -> None:
    row = PlotRow(hazards=kept_hazards(hazards), site_ok_at=None)

    assert row.hazards == kept
    assert hazards_of(row) == read
    assert waits_for_decision(row) == bool(hazards)
