"""A container of a size that a household has, and the day it will be ready."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.regimes import Regime
from service.enrolment.entries import CanEntry, Enrolment, HouseholdEntry
from service.enrolment.missing import Missing
from service.enrolment.results import CanAdded
from service.enrolment.steps import add_can
from tests.unit.enrolment.table import ALONE, CAN, at_table, enrolled, refused
from tests.world import World, an_association


def home(eats: Regime) -> HouseholdEntry:
    return HouseholdEntry(alias="Mango corner", area_id=1, adults=2, eats=eats)


@pytest.mark.parametrize(
    ("eats", "ready_on"),
    [
        (Regime.OWN_HOUSEHOLD, date(2027, 1, 24)),
        (Regime.GENERAL, date(2027, 2, 9)),
        (Regime.SOLD_ANY, date(2027, 7, 12)),
    ],
)
def test_who_eats_the_crop_decides_when_a_can_is_ready(
    world: World, eats: Regime, ready_on: date
) -> None:
    """E8: sealed 2027-01-10 -> 24 January own household, 9 February general, 12 July sold."""
    outcome = enrolled(world, Enrolment(household=home(eats), can=CAN))

    assert outcome.can == CanAdded(container_id=1, number=1, ready_on=ready_on)


@pytest.mark.parametrize("store_c", [None, 19.5])
def test_a_store_that_is_no_proof_of_warmth_names_no_day_for_what_is_sold(
    world: World, store_c: float | None
) -> None:
    an_association(world, store_c=store_c)
    sold = enrolled(world, Enrolment(household=home(Regime.SOLD_ANY), can=CAN))
    longer = enrolled(
        world,
        Enrolment(household=home(Regime.GENERAL), can=replace(CAN, longer_rest=True)),
    )

    for outcome in (sold, longer):
        assert outcome.can is not None
        assert outcome.can.ready_on is None
        assert Missing.STORE_TEMPERATURE in outcome.missing


@pytest.mark.parametrize("litres", [20, 10, 1.5, 0.5, 200])
def test_containers_that_households_have_are_taken(world: World, litres: float) -> None:
    outcome = enrolled(world, Enrolment(household=ALONE, can=CanEntry(litres=litres)))

    assert outcome.can == CanAdded(container_id=1, number=1, ready_on=None)


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"litres": 0.4}, ("litres", "out-of-range")),
        ({"can_number": 100}, ("can_number", "out-of-range")),
        ({"can_number": 1.5}, ("can_number", "whole-number")),
        ({"sealed_on": date(2027, 2, 21)}, ("sealed_on", "not-yet")),
        ({"opened_on": date(2026, 1, 15)}, ("opened_on", "too-early")),
        ({"sealed_on": date(2026, 11, 30)}, ("sealed_on", "sealed-before-opened")),
        ({"emptied_on": date(2027, 1, 9)}, ("emptied_on", "emptied-before-sealed")),
    ],
    ids=[
        "a sip",
        "three digits",
        "half",
        "tomorrow",
        "401 days ago",
        "sealed first",
        "emptied first",
    ],
)
def test_a_can_that_cannot_be_is_refused_at_its_field(
    world: World, changes: dict[str, object], fault: tuple[str, str]
) -> None:
    can = replace(CAN, **changes)  # type: ignore[arg-type]  # -- each row names its own fields

    assert refused(world, Enrolment(household=ALONE, can=can)) == [fault]


@pytest.mark.parametrize("emptied_on", [date(2026, 11, 30), date(2027, 1, 10)])
def test_a_can_was_emptied_before_its_filling_or_after_its_sealing(
    world: World, emptied_on: date
) -> None:
    entry = replace(CAN, emptied_on=emptied_on)
    outcome = enrolled(world, Enrolment(household=home(Regime.GENERAL), can=entry))

    assert outcome.can is not None
    assert (outcome.can.ready_on is None) == (emptied_on == CAN.sealed_on)


def test_the_next_can_has_the_next_number_and_a_taken_one_is_refused(world: World) -> None:
    first = enrolled(world, Enrolment(household=ALONE, can=CAN))
    second = at_table(world, lambda desk: add_can(desk, first.household_id, CanEntry(litres=10)))
    taken = replace(CAN, can_number=2)
    third = at_table(world, lambda desk: add_can(desk, first.household_id, taken))

    assert second == CanAdded(container_id=2, number=2, ready_on=None)
    assert not isinstance(third, CanAdded)
    assert [(fault.field, fault.code.value) for fault in third.faults] == [
        ("can_number", "number-taken")
    ]
