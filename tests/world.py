"""A small association on a real database with the fake gateway and a clock that tests move.

Everything runs as in life; only the time is driven. Dates are local to Africa/Dar_es_Salaam.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from gateway_adapters.fake import FakeGateway
from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.bootstrap import Services, build
from service.config import Profile, Settings
from service.dispatch.dispatcher import Mark, no_mark
from service.records.fields import (
    ContainerEventRow,
    ContainerRow,
    DoseRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.people import (
    AreaRow,
    AssociationRow,
    Consent,
    ConsentEventRow,
    HouseholdPhoneRow,
    HouseholdRow,
    PhoneRow,
)
from service.records.plantings import planting_bundle
from service.route_settings import RouteSettings
from tests.fresh import TEXTS, database_url, forget_database, fresh_database, shipped_texts

ZONE = ZoneInfo("Africa/Dar_es_Salaam")
PHONE = "+255100000001"
OTHER_PHONE = "+255100000002"
PERSON = "+255100000090"
TEST_NUMBERS = frozenset(f"+2551000000{number:02d}" for number in range(100))
START = datetime(2027, 2, 20, 9, 0, tzinfo=ZONE)


def settings_for(folder: Path) -> Settings:
    """Return the settings of a test's service in a folder."""
    return Settings(
        profile=Profile.LIVE,
        database_url=database_url(folder),
        texts=TEXTS,
        test_numbers=TEST_NUMBERS,
        allowed_countries=("TZ",),
        routes=(
            RouteSettings(
                name="main",
                association=None,
                adapter="fake",
                sender="15050",
                rate_per_s=500.0,
                settings={},
            ),
        ),
    )


@dataclass(kw_only=True)
class World:
    """A running service, its pretend phones, and its time."""

    folder: Path
    now: datetime = START
    mark: Mark = no_mark
    gateway: FakeGateway = field(init=False)
    services: Services = field(init=False)

    def __post_init__(self) -> None:
        self.gateway = FakeGateway(clock=self.clock, folder=self.folder / "network")
        fresh_database(self.folder)
        settings = settings_for(self.folder)
        self.services = build(
            settings,
            gateway=self.gateway,
            catalogue=shipped_texts(),
            clock=self.clock,
            mark=self.pass_mark,
        )

    def clock(self) -> datetime:
        """Return the world's time, in UTC."""
        return self.now.astimezone(UTC)

    def pass_mark(self, point: str) -> None:
        """Let a test act at a point of the work; it may set `mark` while the world runs."""
        self.mark(point)

    def close(self) -> None:
        """Give the database back."""
        self.services.sessions.engine.dispose()
        forget_database(self.folder)

    def leave(self) -> None:
        """Let go of the database, and leave it for others to open."""
        self.services.sessions.engine.dispose()

    def tick(self, at: str | None = None) -> None:
        """Run one step, at a local time such as 2027-03-14T18:00."""
        if at is not None:
            self.now = datetime.fromisoformat(at).replace(tzinfo=ZONE)
        self.services.step()

    def text(self, body: str, *, number: str = PHONE, at: str | None = None) -> None:
        """Let a phone send a text, and run the step that takes it in."""
        if at is not None:
            self.now = datetime.fromisoformat(at).replace(tzinfo=ZONE)
        self.gateway.answer(number, body)
        self.services.step()

    def bodies(self, number: str = PHONE) -> list[str]:
        """Return what a phone has received, oldest first."""
        return [text.text for text in self.gateway.texts(number)]


@dataclass(frozen=True, kw_only=True)
class Enrolled:
    """The ids of what `enrol` made."""

    association_id: int
    household_id: int
    phone_id: int
    plot_id: int
    planting_id: int


def an_association(world: World, *, language: str = "en", store_c: float | None = 24) -> int:
    """Add the association once and return its id."""
    with world.services.sessions.begin() as session:
        row = session.get(AssociationRow, 1)
        if row is None:
            row = AssociationRow(
                id=1,
                code="test",
                name="Test Growers",
                zone=ZONE.key,
                country="TZ",
                language=language,
                phone=PERSON,
                cost="free",
                store_c=store_c,
                recorded_at=world.clock(),
            )
            session.add(row)
            session.flush()
            session.add(AreaRow(id=1, association_id=1, code="N", name="North"))
        return row.id


def enrol(  # noqa: PLR0913 -- a factory: every part of an enrolment has its usual value
    world: World,
    *,
    code: str = "H01",
    number: str = PHONE,
    letter: str | None = "A",
    crop: str = "maize-grain",
    planted_on: date = date(2027, 3, 15),
    area_m2: float = 100,
    language: str = "en",
    regime: Regime = Regime.GENERAL,
    sealed_on: date | None = date(2027, 1, 10),
    can: int = 1,
    can_litres: float = 200,
    consent: Consent | None = Consent.GIVEN,
    water_ratio: float = 0,
    discreet: bool = False,
    needs_call: bool = False,
) -> Enrolled:
    """Enrol a household with one phone, plot, planting and container; the plan follows."""
    association_id = an_association(world)
    now = world.clock()
    with world.services.sessions.begin() as session:
        household = HouseholdRow(
            association_id=association_id,
            area_id=1,
            code=code,
            alias=code,
            label=code,
            adults=2,
            children=1,
            regime=regime,
            language=language,
            word=None,
            discreet=discreet,
            remind_minute=18 * 60,
            needs_call=needs_call,
            cup_ml=250,
            recorded_at=now,
        )
        phone = session.query(PhoneRow).filter_by(number=number).one_or_none()
        if phone is None:
            phone = PhoneRow(
                association_id=association_id,
                number=number,
                typed=number,
                language=language,
                muted_until=None,
                recorded_at=now,
            )
        session.add_all([household, phone])
        session.flush()
        session.add(
            HouseholdPhoneRow(
                association_id=association_id, household_id=household.id, phone_id=phone.id
            )
        )
        said = {None: [], Consent.VERBAL: [Consent.VERBAL]}.get(consent, [Consent.VERBAL, consent])
        for place, kind in enumerate(said):
            session.add(
                ConsentEventRow(
                    association_id=association_id,
                    phone_id=phone.id,
                    household_id=household.id if kind is Consent.VERBAL else None,
                    kind=kind,
                    on=now.date(),
                    asked_by="test",
                    wording="",
                    key=f"{code}:{place}",
                    recorded_at=now,
                )
            )
            session.flush()
        container = ContainerRow(
            association_id=association_id,
            household_id=household.id,
            number=can,
            litres=can_litres,
            longer_rest=False,
            recorded_at=now,
        )
        plot = PlotRow(
            association_id=association_id,
            household_id=household.id,
            code="P1",
            letter=letter,
            area_m2=area_m2,
            soil=Soil.NORMAL,
            recorded_at=now,
        )
        session.add_all([container, plot])
        session.flush()
        opened_on = add_days(sealed_on or date(2026, 12, 31), -30)
        session.add(_can_event(container, CanEventKind.OPENED, opened_on, now))
        if sealed_on is not None:
            session.add(_can_event(container, CanEventKind.SEALED, sealed_on, now))
        planting = PlantingRow(
            association_id=association_id,
            plot_id=plot.id,
            code="S1",
            crop=crop,
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
            association_id=association_id,
            household_id=household.id,
            phone_id=phone.id,
            plot_id=plot.id,
            planting_id=planting.id,
        )


def _can_event(
    container: ContainerRow, kind: CanEventKind, on: date, now: datetime
) -> ContainerEventRow:
    return ContainerEventRow(
        association_id=container.association_id,
        container_id=container.id,
        kind=kind,
        on=on,
        source=Source.IMPORT,
        recorded_at=now,
    )


def doses(world: World, enrolled: Enrolled) -> list[DoseRow]:
    """Return a planting's doses as they stand in the database."""
    with world.services.sessions.read() as session:
        return list(planting_bundle(session, enrolled.association_id, enrolled.planting_id).doses)


def dose_days(world: World, enrolled: Enrolled) -> dict[int, date]:
    """Return a planting's dose days by number."""
    return {row.number: row.due_on for row in doses(world, enrolled)}


def tick_through(world: World, first: date, last: date, *, hours: tuple[str, ...]) -> None:
    """Run a step at each of the local hours of each day of a span, both ends included."""
    day = first
    while day <= last:
        for hour in hours:
            world.tick(f"{day.isoformat()}T{hour}")
        day = add_days(day, 1)
