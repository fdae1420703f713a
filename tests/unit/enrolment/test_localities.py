"""Holds, seasons and store temperatures: what is refused, what follows, what is written down."""

from datetime import date

import pytest

from service.agronomy.changes import ChangeKind
from service.agronomy.dosing import Season
from service.enrolment.faults import Faults
from service.enrolment.localities import (
    add_hold,
    add_season,
    set_store,
    withdraw_hold,
    withdraw_season,
)
from service.enrolment.locality_entries import HoldAdded, HoldEntry, Replanned, SpanEntry
from service.enrolment.moves import read
from service.records.localities import AreaHoldRow, SeasonSpanRow
from service.records.people import AreaRow, AuditRow
from tests.unit.enrolment.table import at_table
from tests.web.homes import another_area
from tests.world import World, an_association, dose_days, doses, enrol
from tests.world_looks import rows

APRIL = HoldEntry(area_id=1, first_on=date(2027, 4, 10), last_on=date(2027, 4, 12))
DRY = SpanEntry(area_id=1, season=Season.DRY, first_on=date(2027, 3, 25), last_on=date(2027, 4, 20))


def codes(outcome: object) -> list[tuple[str, str]]:
    assert isinstance(outcome, Faults)
    return [(fault.field, fault.code.value) for fault in outcome.faults]


def held(world: World, entry: HoldEntry = APRIL) -> HoldAdded:
    outcome = at_table(world, lambda desk: add_hold(desk, entry))
    assert isinstance(outcome, HoldAdded)
    return outcome


def replanned(world: World, area_id: int, celsius: float | None) -> Replanned:
    outcome = at_table(world, lambda desk: set_store(desk, area_id, celsius))
    assert isinstance(outcome, Replanned)
    return outcome


def last_entry(world: World) -> AuditRow:
    return rows(world, AuditRow)[-1]


@pytest.mark.parametrize(
    ("first_on", "last_on", "area_id", "faults"),
    [
        pytest.param(
            "2027-04-12", "2027-04-10", 1, [("last_on", "last-before-first")], id="turned"
        ),
        pytest.param("2027-03-01", "2027-04-29", 1, [], id="sixty days"),
        pytest.param("2027-03-01", "2027-04-30", 1, [("last_on", "hold-too-long")], id="61 days"),
        pytest.param(
            "2029-03-01",
            "2029-03-02",
            1,
            [("first_on", "years-away"), ("last_on", "years-away")],
            id="years away",
        ),
        pytest.param("2025-02-01", "2027-03-02", 1, [("first_on", "years-away")], id="years back"),
        pytest.param("2027-04-10", "2027-04-10", 9, [("area_id", "no-such-area")], id="no area"),
        pytest.param("2027-04-10", "2027-04-10", None, [], id="one day, all areas"),
    ],
)
def test_a_hold_that_cannot_be_meant_is_refused(
    world: World, first_on: str, last_on: str, area_id: int | None, faults: list[tuple[str, str]]
) -> None:
    entry = HoldEntry(
        area_id=area_id, first_on=date.fromisoformat(first_on), last_on=date.fromisoformat(last_on)
    )

    outcome = at_table(world, lambda desk: add_hold(desk, entry))

    assert (codes(outcome) if isinstance(outcome, Faults) else []) == faults
    assert len(rows(world, AreaHoldRow)) == (0 if faults else 1)


def test_a_hold_moves_the_doses_on_its_days_and_tells_which(world: World) -> None:
    home = enrol(world)

    added = held(world)

    assert dose_days(world, home)[4] == date(2027, 4, 13)
    (moved,) = added.replanned.moved
    assert (moved.planting_id, moved.change.number) == (home.planting_id, 4)
    assert moved.change.kind is ChangeKind.MOVED
    assert (moved.change.before_on, moved.change.after_on) == (
        date(2027, 4, 11),
        date(2027, 4, 13),
    )
    assert added.replanned.households == 1


def test_a_hold_is_written_down_with_its_days_and_all_that_moved(world: World) -> None:
    enrol(world)
    added = held(world)

    entry = last_entry(world)

    assert (entry.what, entry.subject, entry.who) == ("entered", "area-hold", "asha")
    assert entry.detail["before"] is None
    assert entry.detail["after"] == {
        "area_id": 1,
        "first_on": "2027-04-10",
        "last_on": "2027-04-12",
    }
    assert tuple(read(values) for values in entry.detail["moved"]) == added.replanned.moved


def test_a_hold_elsewhere_moves_nothing(world: World) -> None:
    home = enrol(world)
    another_area(world, name="South")
    added = held(world, HoldEntry(area_id=2, first_on=APRIL.first_on, last_on=APRIL.last_on))

    assert added.replanned == Replanned(households=0)
    assert dose_days(world, home) == {}
    world.tick("2027-03-01T12:00")
    assert dose_days(world, home)[4] == date(2027, 4, 11)


def test_a_withdrawn_hold_gives_the_days_back_and_the_row_stays(world: World) -> None:
    home = enrol(world)
    hold_id = held(world).hold_id

    back = at_table(world, lambda desk: withdraw_hold(desk, hold_id))
    again = at_table(world, lambda desk: withdraw_hold(desk, hold_id))

    assert dose_days(world, home)[4] == date(2027, 4, 11)
    assert back is not None
    assert [moved.change.after_on for moved in back.moved] == [date(2027, 4, 11)]
    assert again is None
    assert [row.withdrawn_by for row in rows(world, AreaHoldRow)] == ["asha"]
    assert [entry.what for entry in rows(world, AuditRow)] == ["entered", "withdrawn"]


def test_holds_on_the_same_days_are_named(world: World) -> None:
    another_area(world, name="South")
    held(world)
    held(world, HoldEntry(area_id=2, first_on=APRIL.first_on, last_on=APRIL.last_on))
    for_all = HoldEntry(area_id=None, first_on=date(2027, 4, 12), last_on=date(2027, 4, 14))

    first = held(world, for_all)
    apart = held(world, HoldEntry(area_id=1, first_on=date(2027, 4, 1), last_on=date(2027, 4, 9)))
    under = held(world, HoldEntry(area_id=1, first_on=date(2027, 4, 14), last_on=date(2027, 4, 15)))

    assert [hold.area_id for hold in first.overlaps] == [1, 2]
    assert apart.overlaps == ()
    assert under.overlaps == (for_all,)


@pytest.mark.parametrize(
    ("first_on", "last_on", "faults"),
    [
        pytest.param("2027-06-02", "2027-06-01", [("last_on", "last-before-first")], id="turned"),
        pytest.param("2027-03-01", "2029-06-01", [("last_on", "years-away")], id="years away"),
    ],
)
def test_a_season_that_cannot_be_meant_is_refused(
    world: World, first_on: str, last_on: str, faults: list[tuple[str, str]]
) -> None:
    entry = SpanEntry(
        area_id=1,
        season=Season.DRY,
        first_on=date.fromisoformat(first_on),
        last_on=date.fromisoformat(last_on),
    )

    assert codes(at_table(world, lambda desk: add_season(desk, entry))) == faults
    assert rows(world, SeasonSpanRow) == []


def test_the_dry_season_brings_water_to_the_doses_in_it_and_keeps_the_urine(world: World) -> None:
    """Two parts of water to one of urine, and the nitrogen as before."""
    home = enrol(world)
    replanned(world, 1, 24)
    before = {row.number: row.urine_l for row in doses(world, home)}

    outcome = at_table(world, lambda desk: add_season(desk, DRY))
    found = doses(world, home)

    assert isinstance(outcome, Replanned)
    assert outcome.watered == 4
    assert outcome.moved == ()
    assert {row.number: row.urine_l for row in found} == before
    assert [row.number for row in found if row.water_l == 2 * row.urine_l] == [2, 3, 4, 5]
    assert [row.number for row in found if row.water_l == 0] == [1, 6, 7]
    assert last_entry(world).detail["after"]["season"] == "dry"


def test_a_withdrawn_season_takes_its_water_back(world: World) -> None:
    home = enrol(world)
    at_table(world, lambda desk: add_season(desk, DRY))
    (span,) = rows(world, SeasonSpanRow)

    back = at_table(world, lambda desk: withdraw_season(desk, span.id))

    assert back is not None
    assert back.watered == 4
    assert {row.water_l for row in doses(world, home)} == {0}
    assert at_table(world, lambda desk: withdraw_season(desk, span.id)) is None


@pytest.mark.parametrize("celsius", [-30.5, 60.5])
def test_a_temperature_that_no_store_has_is_refused(world: World, celsius: float) -> None:
    assert codes(at_table(world, lambda desk: set_store(desk, 1, celsius))) == [
        ("store_c", "out-of-range")
    ]


def test_a_store_temperature_is_written_down_before_and_after(world: World) -> None:
    enrol(world)

    first, same = replanned(world, 1, 17), replanned(world, 1, 17)
    replanned(world, 1, None)

    assert (first.households, same.households) == (1, 0)
    assert [entry.detail for entry in rows(world, AuditRow)] == [
        {"before": {"store_c": None}, "after": {"store_c": 17}},
        {"before": {"store_c": 17}, "after": {"store_c": None}},
    ]
    assert [row.store_c for row in rows(world, AreaRow)] == [None]


def test_the_store_of_an_area_that_is_not_ours_is_refused(world: World) -> None:
    an_association(world)

    assert codes(at_table(world, lambda desk: set_store(desk, 9, 20))) == [
        ("area_id", "no-such-area")
    ]
