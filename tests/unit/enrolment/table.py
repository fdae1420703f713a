"""The table at which a coordinator takes in households, and what is usually told there."""

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.confirmations.outcomes import Desk
from service.enrolment.enrol import enrol
from service.enrolment.entries import (
    CanEntry,
    ConsentEntry,
    Enrolment,
    HouseholdEntry,
    PhoneEntry,
    PlantingEntry,
    PlotEntry,
    Said,
    Share,
)
from service.enrolment.faults import Faults
from service.enrolment.ground import SquareMetres
from service.enrolment.results import Enrolled
from service.enrolment.rules import Rules
from service.planning.send_window import local_day
from service.records.fields import Source
from tests.world import PHONE, TEST_NUMBERS, ZONE, World, an_association

Told = TypeVar("Told")

TODAY = date(2027, 2, 20)
WORDS = "May we text you?"
ALONE = HouseholdEntry(alias="Mango corner", area_id=1)
OWN_PHONE = PhoneEntry(number=PHONE)
SHARED_PHONE = PhoneEntry(number=PHONE, share=Share.SHARE)
YES = ConsentEntry(said=Said.YES, asked_on=TODAY, asked_by="Asha", wording=WORDS)
PLOT = PlotEntry(ground=SquareMetres(area_m2=100))
MAIZE = PlantingEntry(crop="maize-grain", planted_on=date(2027, 3, 15), season=Season.RAINS)
CAN = CanEntry(litres=20, opened_on=date(2026, 12, 1), sealed_on=date(2027, 1, 10))


def rules(world: World) -> Rules:
    """Return what entries are held against."""
    return Rules(
        catalogue=world.services.catalogue,
        allowed_countries=("TZ",),
        test_numbers=TEST_NUMBERS,
    )


def at_table(world: World, step: Callable[[Desk], Told]) -> Told:
    """Let a coordinator enter something; return what followed."""
    an_association(world)
    with world.services.sessions.begin() as session:
        desk = Desk(
            session=session,
            association_id=1,
            source=Source.FORM,
            today=local_day(world.clock(), ZONE),
            now=world.clock(),
            noted_by="asha",
        )
        return step(desk)


def tried(world: World, entry: Enrolment) -> Enrolled | Faults:
    """Try to enrol, and return what followed."""
    return at_table(world, lambda desk: enrol(desk, entry, rules(world)))


def enrolled(world: World, entry: Enrolment) -> Enrolled:
    """Enrol a household about which nothing is wrong."""
    outcome = tried(world, entry)
    assert isinstance(outcome, Enrolled)
    return outcome


def refused(world: World, entry: Enrolment) -> list[tuple[str, str]]:
    """Return which fields of an entry are refused, with the codes."""
    outcome = tried(world, entry)
    assert isinstance(outcome, Faults)
    return [(fault.field, fault.code.value) for fault in outcome.faults]


def whole_household(alias: str = "Mango corner") -> Enrolment:
    """Return a household of which everything is known, on a phone of its own."""
    return Enrolment(
        household=HouseholdEntry(alias=alias, area_id=1, adults=2, children=1, eats=Regime.GENERAL),
        phone=OWN_PHONE,
        consent=YES,
        plot=PLOT,
        planting=MAIZE,
        can=CAN,
    )
