"""Local figures: what is refused, what stands in the place of what, and what is written down."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.local import LocalKey
from service.agronomy.season import Soil
from service.enrolment.faults import Fault, Faults
from service.enrolment.local_acts import add_figure, withdraw_figure
from service.enrolment.local_defaults import table_figure
from service.enrolment.locality_entries import FigureEntry, Replanned
from service.records.fields import PlantingRow
from service.records.localities import LocalValueRow
from service.records.people import AuditRow
from tests.unit.enrolment.table import at_table
from tests.world import Enrolled, World, an_association, dose_days, doses, enrol
from tests.world_looks import rows

SEASON = FigureEntry(key="season-days", value="110", source="farm school 2026", crop="maize-grain")


def faults_of(world: World, entry: FigureEntry) -> tuple[Fault, ...]:
    outcome = at_table(world, lambda desk: add_figure(desk, entry))
    return outcome.faults if isinstance(outcome, Faults) else ()


def entered(world: World, entry: FigureEntry) -> Replanned:
    outcome = at_table(world, lambda desk: add_figure(desk, entry))
    assert isinstance(outcome, Replanned), outcome
    return outcome


def by_the_rules(world: World) -> Enrolled:
    """Enrol a household whose planting has no amount of its own."""
    home = enrol(world)
    with world.services.sessions.begin() as session:
        row = session.get_one(PlantingRow, home.planting_id)
        row.litres_per_m2 = row.water_ratio = None
    return home


@pytest.mark.parametrize(
    ("changed", "field", "code"),
    [
        pytest.param({"key": "yield"}, "key", "no-such-kind", id="no such figure"),
        pytest.param({"crop": None}, "crop", "unknown-crop", id="days of no crop"),
        pytest.param({"crop": "moss"}, "crop", "unknown-crop", id="unknown crop"),
        pytest.param({"crop": "cowpea"}, "crop", "legume", id="legume"),
        pytest.param({"crop": "banana"}, "crop", "perennial", id="perennial"),
        pytest.param({"area_id": 9}, "area_id", "no-such-area", id="unknown area"),
        pytest.param({"source": "me  "}, "source", "no-source", id="no source"),
        pytest.param({"source": "x" * 201}, "source", "too-long", id="source too long"),
        pytest.param({"source": "two\nlines here"}, "source", "one-line", id="two lines"),
        pytest.param({"value": "19"}, "value", "out-of-range", id="season too short"),
        pytest.param({"value": "731"}, "value", "out-of-range", id="season too long"),
        pytest.param({"value": "110.5"}, "value", "whole-number", id="half a day"),
        pytest.param({"value": "1e2"}, "value", "out-of-range", id="power of ten"),
        pytest.param({"value": ""}, "value", "out-of-range", id="blank"),
        pytest.param({"value": "\u0661\u0661\u0660"}, "value", "out-of-range", id="other digits"),
        pytest.param({"key": "emergence-days", "value": "61"}, "value", "out-of-range", id="up"),
        pytest.param({"key": "row-cm", "value": "0"}, "value", "out-of-range", id="no distance"),
        pytest.param({"key": "plant-cm", "value": "1001"}, "value", "out-of-range", id="far apart"),
        pytest.param({"key": "first-harvest-days"}, "key", "harvested-once", id="picked once"),
        pytest.param(
            {"key": "first-harvest-days", "crop": "tomato", "value": "136"},
            "value",
            "out-of-range",
            id="picked after the season",
        ),
        pytest.param({"key": "n-kg-ha", "value": "0"}, "value", "out-of-range", id="no nitrogen"),
        pytest.param({"key": "n-kg-ha", "value": "401"}, "value", "out-of-range", id="too much"),
        pytest.param(
            {"key": "n-kg-ha", "value": "301"}, "value", "over-ceiling-here", id="ceiling"
        ),
        pytest.param({"key": "n-g-l", "value": "0.9"}, "value", "out-of-range", id="thin"),
        pytest.param({"key": "n-g-l", "value": "12.1"}, "value", "out-of-range", id="strong"),
        pytest.param({"key": "pattern", "value": "7, 11"}, "value", "pattern", id="too near"),
        pytest.param({"key": "pattern", "value": "14, 7"}, "value", "pattern", id="falling"),
        pytest.param({"key": "pattern", "value": "7; x"}, "value", "pattern", id="no days"),
        pytest.param({"key": "pattern", "value": "7.5"}, "value", "pattern", id="half days"),
        pytest.param({"key": "pattern", "value": "366"}, "value", "pattern", id="another year"),
        pytest.param(
            {"key": "pattern", "value": "5,10,15,20,25,30,35,40,45"}, "value", "pattern", id="ten"
        ),
    ],
)
def test_a_figure_that_cannot_be_meant_is_refused(
    world: World, changed: dict[str, str | int | None], field: str, code: str
) -> None:
    an_association(world)

    found = faults_of(world, replace(SEASON, **changed))  # type: ignore[arg-type]  # -- a row of the table

    assert [(fault.field, fault.code.value) for fault in found] == [(field, code)]
    assert rows(world, LocalValueRow) == []


@pytest.mark.parametrize(
    ("key", "typed", "crop", "kept"),
    [
        pytest.param("season-days", "20", "maize-grain", "20", id="shortest season"),
        pytest.param("season-days", "730", "maize-grain", "730", id="longest season"),
        pytest.param("emergence-days", "0", "maize-grain", "0", id="up at once"),
        pytest.param("first-harvest-days", "135", "tomato", "135", id="picked on the last day"),
        pytest.param("n-kg-ha", "300", None, "300", id="at the ceiling"),
        pytest.param("n-g-l", "3,5", None, "3.5", id="comma"),
        pytest.param("pattern", " 7 14;21, 40 ", None, "7,14,21,40", id="days parted somehow"),
        pytest.param(
            "pattern", "5,10,15,20,25,30,35,40", None, "5,10,15,20,25,30,35,40", id="eight"
        ),
    ],
)
def test_a_figure_is_kept_in_one_form(
    world: World, key: str, typed: str, crop: str | None, kept: str
) -> None:
    entered(world, replace(SEASON, key=key, value=typed, crop=crop))

    assert [row.value for row in rows(world, LocalValueRow)] == [kept]


def test_a_shorter_season_draws_the_plans_anew(world: World) -> None:
    """2/3 of 90 days is day 60, 14 May: the dose of 16 May falls out."""
    home = by_the_rules(world)
    entered(world, replace(SEASON, value="90"))

    assert [row.number for row in doses(world, home) if row.state.value == "dropped"] == [7]


def test_a_figure_is_written_down_with_the_one_before_it(world: World) -> None:
    by_the_rules(world)
    entered(world, SEASON)
    entered(world, replace(SEASON, value="115"))

    details = [entry.detail for entry in rows(world, AuditRow)]

    assert [detail["before"] for detail in details] == [{"value": "125"}, {"value": "110"}]
    assert [detail["after"]["value"] for detail in details] == ["110", "115"]
    assert "farm school" not in str(details)


def test_more_nitrogen_brings_more_litres(world: World) -> None:
    """120 kg a hectare at 5 g a litre is 2.4 L a square metre: 240 L on 100 square metres."""
    home = by_the_rules(world)
    entered(world, replace(SEASON, key="n-kg-ha", value="120", crop=None))

    assert sum(row.urine_l for row in doses(world, home)) == pytest.approx(240, abs=7 * 0.5)


def test_another_pattern_gives_other_days(world: World) -> None:
    """Up, as assumed, on 21 March: days 10 and 20 after it are 31 March and 10 April."""
    home = by_the_rules(world)
    entered(world, replace(SEASON, key="pattern", value="10,20", crop=None))

    live = {row.number: row.due_on for row in doses(world, home) if row.state.value == "planned"}

    assert live == {1: date(2027, 3, 15), 2: date(2027, 3, 31), 3: date(2027, 4, 10)}


def test_thin_urine_and_a_high_target_are_refused_together(world: World) -> None:
    """200 kg a hectare at 3 g a litre is 6.7 L a square metre, over the six that ground bears."""
    an_association(world)
    target = replace(SEASON, key="n-kg-ha", value="200", crop="tomato")
    content = replace(SEASON, key="n-g-l", value="3", crop=None, area_id=1)
    entered(world, target)

    (fault,) = faults_of(world, content)

    assert fault.code.value == "over-ceiling-here"
    assert fault.values["litres"] == pytest.approx(6.667, abs=0.001)
    assert faults_of(world, replace(content, crop="maize-grain")) == ()


def test_a_figure_without_which_others_pass_the_ceiling_stays(world: World) -> None:
    """350 kg a hectare needs the 8 g a litre: at the usual 5 it is 7 L a square metre."""
    an_association(world)
    entered(world, replace(SEASON, key="n-g-l", value="8", crop=None))
    entered(world, replace(SEASON, key="n-kg-ha", value="350", crop=None, soil=Soil.NORMAL))

    refused = at_table(world, lambda desk: withdraw_figure(desk, 1))
    target = at_table(world, lambda desk: withdraw_figure(desk, 2))
    content = at_table(world, lambda desk: withdraw_figure(desk, 1))

    assert isinstance(refused, Faults)
    assert isinstance(target, Replanned)
    assert isinstance(content, Replanned)


def test_a_withdrawn_figure_gives_way_to_the_one_before_it(world: World) -> None:
    home = by_the_rules(world)
    entered(world, replace(SEASON, key="pattern", value="10,20", crop=None))
    entered(world, replace(SEASON, key="pattern", value="12,22", crop=None))

    at_table(world, lambda desk: withdraw_figure(desk, 2))

    assert dose_days(world, home)[2] == date(2027, 3, 31)
    assert at_table(world, lambda desk: withdraw_figure(desk, 2)) is None
    assert rows(world, AuditRow)[-1].detail["after"] is None


@pytest.mark.parametrize("key", LocalKey)
def test_each_figure_has_one_of_the_tables_beside_it(key: LocalKey) -> None:
    figure = table_figure(key, "tomato")

    assert figure is not None
    assert figure.origin.source


def test_the_tables_figures_are_those_of_the_tables() -> None:
    """The tables as they stand; 1.5 L at 5 g a litre carries 75 kg of nitrogen a hectare."""
    values = {key: table_figure(key, "maize-grain") for key in LocalKey}

    assert {key.value: figure.value for key, figure in values.items() if figure is not None} == {
        "season-days": "125",
        "emergence-days": "6",
        "first-harvest-days": "125",
        "row-cm": "75",
        "plant-cm": "25",
        "n-kg-ha": "75",
        "n-g-l": "5",
        "pattern": "7,14,21,28,42,56",
    }
    assert table_figure(LocalKey.SEASON_DAYS, None) is None
