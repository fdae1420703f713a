"""What is added to a household, or changed, after it was taken in."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy.exc import NoResultFound

from service.agronomy.buffers import WaterKind
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.confirmations.crop_news import confirm_harvest
from service.confirmations.outcomes import Desk
from service.enrolment.entries import Enrolment, HouseholdEntry, PlantingEntry
from service.enrolment.faults import Faults
from service.enrolment.ground import Rows
from service.enrolment.missing import Missing
from service.enrolment.results import HouseholdChanged, PlantingAdded, PlotAdded
from service.enrolment.steps import (
    add_can,
    add_consent,
    add_phone,
    add_planting,
    add_plot,
    change_household,
)
from service.records.fields import DoseRow, DoseState, FactKind, PlantingFactRow, PlotRow, Texture
from service.records.people import AuditRow, HouseholdRow
from service.records.traffic import MessageRow
from tests.unit.enrolment.table import (
    ALONE,
    CAN,
    MAIZE,
    OWN_PHONE,
    PLOT,
    SHARED_PHONE,
    YES,
    at_table,
    enrolled,
    rules,
    whole_household,
)
from tests.world import Enrolled as Home
from tests.world import World, dose_days
from tests.world_facts import other_association
from tests.world_looks import rows


def changed(
    world: World, entry: HouseholdEntry, household_id: int = 1
) -> HouseholdChanged | Faults:
    return at_table(world, lambda desk: change_household(desk, household_id, entry, rules(world)))


def planted(world: World, entry: PlantingEntry) -> PlantingAdded | Faults:
    return at_table(world, lambda desk: add_planting(desk, 1, entry))


def test_a_plot_keeps_how_it_was_measured_and_what_water_is_near(world: World) -> None:
    """E6: 4 m from a stream -> warned with the buffer, 5 m, and its source."""
    enrolled(world, Enrolment(household=ALONE))
    entry = replace(
        PLOT,
        ground=Rows(row_count=8, row_length_m=12.5, row_apart_cm=75),
        soil=Soil.SALTY,
        texture=Texture.CLAY,
        water_kind=WaterKind.STREAM,
        water_m=4,
    )
    added = at_table(world, lambda desk: add_plot(desk, 1, entry))
    [row] = rows(world, PlotRow)

    assert isinstance(added, PlotAdded)
    assert [(item.buffer.metres, item.distance_m) for item in added.warnings] == [(5, 4)]
    assert "Louth" in added.warnings[0].buffer.origin.source
    assert (row.area_m2, row.measured) == (75, "8 rows x 12.5 m, 75 cm apart")
    assert (row.soil, row.texture) == (Soil.SALTY, Texture.CLAY)
    assert (row.water_kind, row.water_m) == (WaterKind.STREAM, 4)


def test_a_plot_carries_one_open_planting_at_a_time(world: World) -> None:
    enrolled(world, whole_household())
    again = replace(MAIZE, crop="tomato", planted_on=date(2027, 4, 1))
    refused = planted(world, again)
    at_table(world, lambda desk: confirm_harvest(desk, 1, on=date(2027, 2, 20)))
    taken = planted(world, again)

    assert isinstance(refused, Faults)
    assert [(fault.code.value, fault.values) for fault in refused.faults] == [
        ("still-planted", {"crop": "maize-grain"})
    ]
    assert isinstance(taken, PlantingAdded)
    assert taken.code == "S2"


def test_a_reported_emergence_is_a_fact_and_moves_the_doses(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE, plot=PLOT, can=CAN))
    entry = replace(MAIZE, planted_on=date(2027, 2, 8), emerged_on=date(2027, 2, 18))
    added = planted(world, entry)
    [fact] = [row for row in rows(world, PlantingFactRow) if row.kind is FactKind.EMERGED]

    assert isinstance(added, PlantingAdded)
    assert not added.plan.emergence_assumed
    assert (fact.on, fact.noted_by) == (date(2027, 2, 18), "asha")
    home = Home(association_id=1, household_id=1, phone_id=0, plot_id=1, planting_id=1)
    assert dose_days(world, home)[2] == date(2027, 2, 25)


def test_a_plan_is_written_for_a_planting_to_come(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE, plot=PLOT))
    planted(world, replace(MAIZE, planted_on=date(2027, 11, 1)))
    states = {row.state for row in rows(world, DoseRow)}

    assert states == {DoseState.PLANNED}
    assert len(rows(world, DoseRow)) == 7


def test_a_reminder_counts_the_plants_by_the_planting_s_own_spacing(world: World) -> None:
    """E7: at 1 m by 1 m 100 m2 hold 100 plants; a 21 L dose gives each 210 mL, 4 to 5 cups."""
    enrolled(
        world,
        replace(whole_household(), planting=replace(MAIZE, row_cm=100, plant_cm=100)),
    )
    world.tick("2027-03-13T09:00")
    world.text("YES", at="2027-03-13T12:00")
    world.tick("2027-03-14T18:00")
    [dose] = [row for row in rows(world, MessageRow) if row.kind == "dose_rain"]

    assert dose.fields["values"]["per"] == {"cups": 4, "plants": 5}


def test_a_change_tells_which_columns_differ_and_keeps_code_and_label(world: World) -> None:
    enrolled(world, Enrolment(household=replace(ALONE, code="H7", label="Mango")))
    outcome = changed(world, replace(ALONE, alias="Fig corner", adults=2, eats=Regime.GENERAL))
    [row] = rows(world, HouseholdRow)

    assert isinstance(outcome, HouseholdChanged)
    assert outcome.columns == ("alias", "adults", "regime")
    assert Missing.EATERS not in outcome.missing
    assert (row.code, row.label, row.alias) == ("H7", "Mango", "Fig corner")
    audit = rows(world, AuditRow)[-1]
    assert (audit.what, audit.detail) == ("changed", {"columns": ["alias", "adults", "regime"]})


def test_a_change_of_nothing_is_no_news(world: World) -> None:
    enrolled(world, Enrolment(household=ALONE))
    before = len(rows(world, AuditRow))
    outcome = changed(world, ALONE)

    assert isinstance(outcome, HouseholdChanged)
    assert outcome.columns == ()
    assert len(rows(world, AuditRow)) == before


def test_a_label_of_another_home_on_the_phone_is_refused(world: World) -> None:
    enrolled(world, whole_household())
    enrolled(world, Enrolment(household=replace(ALONE, alias="Fig"), phone=SHARED_PHONE))
    outcome = changed(world, replace(ALONE, alias="Fig", label="MANGO CO"), household_id=2)

    assert isinstance(outcome, Faults)
    assert [(fault.code.value, fault.values) for fault in outcome.faults] == [
        ("label-taken", {"alias": "Mango corner"})
    ]


@pytest.mark.parametrize(
    "step",
    [
        pytest.param(lambda desk, rule: change_household(desk, 1, ALONE, rule), id="change"),
        pytest.param(lambda desk, rule: add_phone(desk, 1, OWN_PHONE, rule), id="phone"),
        pytest.param(lambda desk, _: add_consent(desk, 1, 1, YES), id="consent"),
        pytest.param(lambda desk, _: add_plot(desk, 1, PLOT), id="plot"),
        pytest.param(lambda desk, _: add_planting(desk, 1, MAIZE), id="planting"),
        pytest.param(lambda desk, _: add_can(desk, 1, CAN), id="can"),
    ],
)
def test_a_household_of_another_association_is_not_found(
    world: World, step: Callable[[Desk, object], object]
) -> None:
    enrolled(world, whole_household())
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))

    with pytest.raises(NoResultFound):
        at_table(world, lambda desk: step(replace(desk, association_id=2), rules(world)))
