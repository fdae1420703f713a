"""What a coordinator, an import or a person on the telephone adds to a world's records."""

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from service.agronomy.containers import CanEventKind
from service.agronomy.dosing import Season
from service.agronomy.season import Soil
from service.confirmations.outcomes import Desk
from service.planning.send_window import local_day
from service.records.fields import ContainerEventRow, ContainerRow, PlantingRow, PlotRow, Source
from service.records.people import (
    AssociationRow,
    Consent,
    ConsentEventRow,
    HouseholdPhoneRow,
    PhoneRow,
)
from tests.world import ZONE, Enrolled, World

Report = TypeVar("Report")


def by_call(world: World, report: Callable[[Desk], Report]) -> Report:
    """Let a coordinator enter what was said on the telephone; return what followed."""
    with world.services.sessions.begin() as session:
        return report(
            Desk(
                session=session,
                association_id=1,
                source=Source.CALL,
                today=local_day(world.clock(), ZONE),
                now=world.clock(),
            )
        )


def consent_said(world: World, enrolled: Enrolled, kind: Consent) -> None:
    """Record what was said about consent: face to face for the household, else by the phone."""
    now = world.clock()
    with world.services.sessions.begin() as session:
        session.add(
            ConsentEventRow(
                association_id=enrolled.association_id,
                phone_id=enrolled.phone_id,
                household_id=enrolled.household_id if kind is Consent.VERBAL else None,
                kind=kind,
                on=now.date(),
                asked_by="test",
                wording="read out",
                key=f"{kind.value}:{now.isoformat()}",
                recorded_at=now,
            )
        )


def can_event(
    world: World, enrolled: Enrolled, kind: CanEventKind, on: date, *, number: int = 1
) -> None:
    """Record what happened to a household's container."""
    with world.services.sessions.begin() as session:
        container = (
            session.query(ContainerRow)
            .filter_by(household_id=enrolled.household_id, number=number)
            .one()
        )
        session.add(
            ContainerEventRow(
                association_id=enrolled.association_id,
                container_id=container.id,
                kind=kind,
                on=on,
                source=Source.CALL,
                recorded_at=world.clock(),
            )
        )


def another_can(world: World, enrolled: Enrolled, *, number: int, sealed_on: date) -> None:
    """Give a household a second container, sealed on a day."""
    with world.services.sessions.begin() as session:
        session.add(
            ContainerRow(
                association_id=enrolled.association_id,
                household_id=enrolled.household_id,
                number=number,
                litres=200,
                longer_rest=False,
                recorded_at=world.clock(),
            )
        )
    can_event(world, enrolled, CanEventKind.OPENED, date(2026, 12, 1), number=number)
    can_event(world, enrolled, CanEventKind.SEALED, sealed_on, number=number)


def another_plot(  # noqa: PLR0913 -- a factory: every part of a plot has its usual value
    world: World,
    enrolled: Enrolled,
    *,
    letter: str,
    planted_on: date = date(2027, 3, 15),
    area_m2: float = 100,
    water_ratio: float = 0,
) -> Enrolled:
    """Give a household a second plot with maize; return the ids with that plot's."""
    now = world.clock()
    with world.services.sessions.begin() as session:
        plot = PlotRow(
            association_id=enrolled.association_id,
            household_id=enrolled.household_id,
            code=f"P{letter}",
            letter=letter,
            area_m2=area_m2,
            soil=Soil.NORMAL,
            recorded_at=now,
        )
        session.add(plot)
        session.flush()
        planting = PlantingRow(
            association_id=enrolled.association_id,
            plot_id=plot.id,
            code="S1",
            crop="maize-grain",
            planted_on=planted_on,
            season=Season.RAINS if water_ratio == 0 else Season.DRY,
            water_ratio=water_ratio,
            litres_per_m2=1.5,
            season_days=None,
            first_harvest_on=None,
            transplanted=None,
            closed_on=None,
            recorded_at=now,
        )
        session.add(planting)
        session.flush()
        return Enrolled(
            association_id=enrolled.association_id,
            household_id=enrolled.household_id,
            phone_id=enrolled.phone_id,
            plot_id=plot.id,
            planting_id=planting.id,
        )


def another_phone(world: World, enrolled: Enrolled, *, number: str) -> int:
    """Give a household a second phone, which has not consented; return its id."""
    with world.services.sessions.begin() as session:
        phone = PhoneRow(
            association_id=enrolled.association_id,
            number=number,
            typed=number,
            language="en",
            muted_until=None,
            recorded_at=world.clock(),
        )
        session.add(phone)
        session.flush()
        session.add(
            HouseholdPhoneRow(
                association_id=enrolled.association_id,
                household_id=enrolled.household_id,
                phone_id=phone.id,
            )
        )
        return phone.id


def other_association(
    now: datetime, *, zone: str = ZONE.key, country: str = "TZ", language: str = "en"
) -> AssociationRow:
    """Return a second tenant, to be added to a session."""
    return AssociationRow(
        id=2,
        code="other",
        name="Other Growers",
        zone=zone,
        country=country,
        language=language,
        phone="+255100000091",
        cost="free",
        store_c=None,
        recorded_at=now,
    )
