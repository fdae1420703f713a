"""Build the object graph once, by hand. Nothing is built at import, nothing looked up by name."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from threading import Lock

from gateway_adapters.contract import Gateway, Inbound
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.fake import FakeGateway
from gateway_adapters.registry import open_gateway, reaches_phones
from service.clock import Clock, system_clock
from service.config import Profile, RouteSettings, Settings
from service.dispatch.dispatcher import Dispatcher, Lane, Mark, no_mark
from service.dispatch.receiver import Receiver
from service.errors import RefusedError, SettingsError
from service.inbound.handler import Route, handle_text
from service.messages.catalogue import Catalogue
from service.messages.language import CatalogueError
from service.messages.render import render
from service.outbox.claim import Render
from service.planning.drafts import reader_of
from service.planning.tick import Tools, plan_association
from service.records.engine import Session, Sessions, open_engine
from service.records.migrate import check_version
from service.records.people import AssociationRow
from service.records.plantings import associations
from service.records.pretend import pretend_now
from service.records.routes import RouteFacts, ensure_route
from service.records.traffic import MessageRow

PretendPhones = FakeGateway


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """The parts of a running service."""

    settings: Settings
    sessions: Sessions
    catalogue: Catalogue
    gateway: Gateway
    clock: Clock
    mark: Mark
    stepping: Lock = field(default_factory=Lock)  # the ticker and a page may both ask for a step

    @property
    def pretends(self) -> bool:
        """Say whether the phones are pretend ones."""
        return isinstance(self.gateway, FakeGateway)

    def step(self) -> None:
        """Do one scheduling step: take what came in, plan, send what is due, take receipts."""
        with self.stepping:
            lane = self.lane()
            if lane is None:
                return
            receiver, dispatcher = self.receiver(lane), self.dispatcher(lane)
            receiver.run_once()
            self.plan(lane)
            dispatcher.run_once()
            receiver.run_once()

    def lane(self) -> Lane | None:
        """Return the way out of the route's association, or None before one was imported.

        Raises:
            SettingsError: several associations, and the route names none of them.
        """
        with self.sessions.begin() as session:
            row = _association(associations(session), self.settings.route)
            if row is None:
                return None
            route = self.settings.route
            facts = RouteFacts(
                name=route.name,
                adapter=route.adapter,
                sender=route.sender,
                rate_per_s=route.rate_per_s,
            )
            kept = ensure_route(session, row.id, facts, now=self.clock())
            return Lane(
                association_id=row.id,
                route_id=kept.id,
                sender=kept.sender,
                language=row.language,
                gateway=self.gateway,
            )

    def pretend_phones(self) -> PretendPhones:
        """Return the pretend phones of the fake gateway.

        Raises:
            RefusedError: `text`, where the gateway is another.
        """
        if isinstance(self.gateway, FakeGateway):
            return self.gateway
        raise RefusedError("text", "Only the fake gateway has pretend phones.")

    def plan(self, lane: Lane) -> None:
        """Bring the association's queue and call list in line with what is known now."""
        tools = Tools(catalogue=self.catalogue, route_id=lane.route_id)
        with self.sessions.begin() as session:
            plan_association(session, lane.association_id, tools=tools, now=self.clock())

    def dispatcher(self, lane: Lane) -> Dispatcher:
        """Return what sends on a lane."""
        return Dispatcher(
            self.sessions,
            lane,
            render=renderer(self.catalogue, lane.language),
            clock=self.clock,
            mark=self.mark,
        )

    def receiver(self, lane: Lane) -> Receiver:
        """Return what takes in a lane's receipts and texts."""
        return Receiver(
            self.sessions,
            lane,
            on_text=partial(_take_text, clock=self.clock),
            clock=self.clock,
            mark=self.mark,
        )


def build(
    settings: Settings,
    *,
    gateway: Gateway | None = None,
    catalogue: Catalogue | None = None,
    clock: Clock | None = None,
    mark: Mark = no_mark,
) -> Services:
    """Build the services; tests pass their own gateway and clock.

    Texts that were loaded and checked before may be passed on, for that takes a while.

    Raises:
        SettingsError: every fault of the gateway, the texts and the demo's safety, at once.
        DatabaseVersionError: the database is older or newer than this program.
    """
    barred = _demo_faults(settings)
    faults = list(barred)
    texts = catalogue or _catalogue(settings, faults)
    engine = open_engine(settings.database_url)
    sessions = Sessions(engine)
    ticking = clock or _clock(settings, sessions)
    opened = gateway
    if opened is None and not barred:  # opening alone may already reach a network
        opened = _gateway(settings.route, ticking, faults)
    if faults or texts is None or opened is None:
        raise SettingsError(faults)
    check_version(engine)
    return Services(
        settings=settings,
        sessions=sessions,
        catalogue=texts,
        gateway=opened,
        clock=ticking,
        mark=mark,
    )


def renderer(catalogue: Catalogue, fallback: str) -> Render:
    """Return what turns a queued row into its text."""

    def of_row(row: MessageRow) -> str:
        fields: Mapping[str, object] = row.fields
        values = fields.get("values")
        reader = reader_of(row.language, fallback, fields=fields)
        known = values if isinstance(values, dict) else {}
        return render(catalogue, row.kind, known, reader=reader).text

    return of_row


def _take_text(session: Session, lane: Lane, event: Inbound, *, clock: Clock) -> None:
    route = Route(association_id=lane.association_id, route_id=lane.route_id)
    handle_text(session, route, event, now=clock())


def _association(rows: list[AssociationRow], route: RouteSettings) -> AssociationRow | None:
    if route.association is not None:
        named = [row for row in rows if row.code == route.association]
        if not named and rows:
            raise SettingsError(["route.association names no association of this database."])
        return named[0] if named else None
    if len(rows) > 1:
        raise SettingsError(
            ["The database holds several associations; route.association must name one."]
        )
    return rows[0] if rows else None


def _demo_faults(settings: Settings) -> list[str]:
    if settings.profile is not Profile.DEMO:
        return []
    try:
        real = reaches_phones(settings.route.adapter)
    except GatewayConfigError:
        return []  # named by the opening of the gateway itself
    if not real:
        return []
    return [
        "The demo may only use a gateway that reaches no real phone; set route.adapter to fake."
    ]


def _catalogue(settings: Settings, faults: list[str]) -> Catalogue | None:
    try:
        return Catalogue.load(settings.texts)
    except CatalogueError as error:
        faults += error.faults
        return None


def _gateway(route: RouteSettings, clock: Clock, faults: list[str]) -> Gateway | None:
    try:
        return open_gateway(route.adapter, route.settings, clock)
    except GatewayConfigError as error:
        faults.append(str(error))
        return None


def _clock(settings: Settings, sessions: Sessions) -> Clock:
    if settings.profile is not Profile.DEMO:
        return system_clock

    def pretended() -> datetime:
        with sessions.read() as session:
            now = pretend_now(session)
        return system_clock() if now is None else now

    return pretended
